//! What a fit does and why, in words that can be read aloud.

use std::collections::{BTreeMap, BTreeSet};

use crate::fit::each::{Each, each};
use crate::fit::other_pans::{Hand, Swap, hands, swaps};
use crate::fit::plan::{FAR, KeyFit, Lack, Options, PartFit, unplayed};
use crate::music::{PitchClass, Tone};
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Open;

/// How many keys are put into words beside the best.
const OTHERS: usize = 2;

/// A cost in units, with as many decimals as it needs.
pub fn units(cost: i64) -> String {
    let text = format!("{}.{:03}", cost / 1000, cost % 1000);
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// A line for each part: what moves, which notes no octave can save, and who could help out.
pub fn report(tune: &Tune<Open>, fitted: &KeyFit, for_each: &[Each], options: &Options) -> String {
    let mut text = String::new();
    if fitted.semitones != 0 {
        text.push_str(&format!("in {} ({}):\n", fitted.key, far(fitted.semitones)));
    }
    let options = Options { semitones: fitted.semitones, ..*options };
    for part in &fitted.parts {
        if let Some(each) = for_each.iter().find(|each| each.part == part.part) {
            text.push_str(&each_said(tune, fitted, each, &options));
            continue;
        }
        let mut said = part_said(tune, fitted, part);
        said.extend(torn_said(part, &options));
        if part.open() > 0 {
            said.push(format!("{} found", words::count(part.open(), "octave")));
        }
        if said.is_empty() {
            said.push("nothing moves".to_owned());
        }
        text.push_str(&format!("{}: {}\n", tune.parts[part.part].name, words::and(&said)));
        text.push_str(&fewer_with_each(tune, part, &options));
        if part.missing().next().is_some() {
            hands(tune, part, &options).iter().for_each(|hand| text.push_str(&hand_said(tune, hand)));
        }
    }
    for part in unplayed(tune, &options) {
        text.push_str(&format!("{}: nobody in the band plays it, so it is unchanged\n", tune.parts[part.part].name));
        hands(tune, &part, &options).iter().for_each(|hand| text.push_str(&hand_said(tune, hand)));
    }
    for swap in swaps(tune, &fitted.parts, &options) {
        text.push_str(&swap_said(tune, &swap));
    }
    tones_said(fitted).iter().for_each(|said| text.push_str(&format!("{said}\n")));
    text
}

/// How often the line changes octave because the notes before move differently.
fn torn_said(part: &PartFit, options: &Options) -> Option<String> {
    let times = |count: usize| if count == 1 { "once".to_owned() } else { format!("{count} times") };
    match part.torn(options) {
        (0, 0) => None,
        (0, at_rests) => Some(format!("the line changes octave {}, at a rest", times(at_rests))),
        (torn, 0) => Some(format!("the line changes octave {} inside a phrase", times(torn))),
        (torn, at_rests) => {
            Some(format!("the line changes octave {} inside a phrase and {} at a rest", times(torn), times(at_rests)))
        }
    }
}

/// A line for each group of pans that play the same.
fn each_said(tune: &Tune<Open>, fitted: &KeyFit, each: &Each, options: &Options) -> String {
    let mut text = String::new();
    for (number, group) in each.groups.iter().enumerate() {
        let pans: Vec<String> = group.pans.iter().map(|pan| format!("`{}`", tune.band.pans[*pan].pan.name)).collect();
        let mut said = part_said(tune, fitted, &group.fit);
        said.extend(torn_said(&group.fit, options));
        if said.is_empty() {
            said.push("nothing moves".to_owned());
        }
        let own = if number == 0 { "" } else { ", in rows of its own" };
        let name = &tune.parts[each.part].name;
        text.push_str(&format!("{name} on {}: {}{own}\n", words::and(&pans), words::and(&said)));
    }
    text
}

/// What `--each` would save the pans that have all notes.
fn fewer_with_each(tune: &Tune<Open>, part: &PartFit, options: &Options) -> String {
    let together: usize = part.moves().values().sum();
    if together == 0 || options.semitones != 0 {
        return String::new();
    }
    let Some(each) = each(tune, part.part, options) else { return String::new() };
    let said = |group: &crate::fit::each::Group| {
        let pans: Vec<String> = group.pans.iter().map(|pan| format!("`{}`", tune.band.pans[*pan].pan.name)).collect();
        format!("{} for {} alone", group.moved(), words::and(&pans))
    };
    let moving: Vec<String> = each.groups.iter().filter(|group| group.moved() > 0).map(said).collect();
    if each.groups.len() < 2 {
        return String::new();
    }
    let noun = if together == 1 { "note moves" } else { "notes move" };
    format!("  {together} {noun} for all; {} with `--each`\n", words::and(&moving))
}

/// All keys, the cheapest first, and the first few of them in words.
pub fn ranking(tune: &Tune<Open>, keys: &[KeyFit]) -> String {
    let mut rows = vec![["key", "semitones", "missing", "moved", "cost", "costliest part"].map(String::from).to_vec()];
    for key in keys {
        let moved: usize = key.parts.iter().map(|part| part.moves().values().sum::<usize>()).sum();
        let lacking: usize = key.parts.iter().map(|part| part.missing().count()).sum::<usize>()
            + key.lacks.iter().filter(|lack| matches!(lack, Lack::Note { .. })).count();
        let worst = key.parts.iter().max_by_key(|part| part.terms.changes());
        let worst = worst.filter(|part| part.terms.changes() > 0);
        let worst = worst.map_or_else(|| "-".to_owned(), |part| tune.parts[part.part].name.clone());
        rows.push(vec![
            key.key.to_string(),
            format!("{:+}", key.semitones),
            lacking.to_string(),
            moved.to_string(),
            units(key.cost),
            worst,
        ]);
    }
    let mut text = format!("{}\n", crate::cli::table::lines(&rows, &[1, 2, 3, 4]));
    let written = keys.iter().position(|key| key.semitones == 0).filter(|place| *place > OTHERS);
    for key in keys.iter().take(1 + OTHERS).chain(written.map(|place| &keys[place])) {
        text.push_str(&format!("{}\n", sentence(tune, key)));
    }
    text.push('\n');
    text
}

/// A key in one sentence: "G, 2 semitones down: 4 notes of `lead` go down an octave".
fn sentence(tune: &Tune<Open>, key: &KeyFit) -> String {
    let mut said: Vec<String> = Vec::new();
    let mut still = 0;
    for part in &key.parts {
        let of_part = part_said(tune, key, part);
        still += usize::from(of_part.is_empty());
        said.extend(
            (!of_part.is_empty()).then(|| format!("`{}`: {}", tune.parts[part.part].name, words::and(&of_part))),
        );
    }
    said.extend(tones_said(key));
    if still == key.parts.len() {
        said.insert(0, "nothing moves".to_owned());
    }
    let name = match key.semitones {
        0 => format!("{} (as written)", key.key),
        semitones => format!("{} ({})", key.key, far(semitones)),
    };
    format!("{name}: {}", said.join("; "))
}

fn far(semitones: i32) -> String {
    debug_assert!(semitones.abs() <= FAR);
    let direction = if semitones > 0 { "up" } else { "down" };
    format!("{} {direction}", words::count(semitones.unsigned_abs() as usize, "semitone"))
}

/// What happens to a part.
fn part_said(tune: &Tune<Open>, fitted: &KeyFit, part: &PartFit) -> Vec<String> {
    let moves = part.moves();
    let mut said: Vec<String> = moves.iter().rev().map(|(octaves, count)| moved(*octaves, *count)).collect();
    let missing: Vec<&_> = part.missing().collect();
    if let Some(first) = missing.first() {
        let (section, bar) = first.place;
        let count = words::count(missing.len(), "stroke");
        let place = format!(
            "the first in bar {} of `{}`",
            tune.sections[section].number_of(bar as usize),
            tune.sections[section].name
        );
        let lacking = lacking_classes(fitted, part);
        said.push(format!("{count} can't be played in any octave, since there is no {lacking} ({place})"));
    }
    let chosen: BTreeSet<Tone> = fitted
        .lacks
        .iter()
        .filter_map(|lack| match lack {
            Lack::Note { part: of, pitch, place, .. } if *of == part.part => {
                Some(fitted.tune.sections[place.0].key.spell_class(pitch.class()))
            }
            _ => None,
        })
        .collect();
    if !chosen.is_empty() {
        said.push(format!("there is no {} for what is chosen for it", or(&chosen)));
    }
    said
}

/// The pitch classes that a part's pans lack and its strokes need, by name.
fn lacking_classes(fitted: &KeyFit, part: &PartFit) -> String {
    let mut names: BTreeSet<Tone> = BTreeSet::new();
    for placed in part.missing() {
        let key = fitted.tune.sections[placed.place.0].key;
        for pitch in [Some(placed.written.top), placed.written.low].into_iter().flatten() {
            let class: PitchClass = pitch.class().up(fitted.semitones);
            if placed.set.octaves(class).next().is_none() {
                names.insert(key.spell_class(class));
            }
        }
    }
    if names.is_empty() { "second note of that name".to_owned() } else { or(&names) }
}

fn or(names: &BTreeSet<Tone>) -> String {
    names.iter().map(Tone::to_string).collect::<Vec<_>>().join(" or ")
}

/// How a number of notes move.
fn moved(octaves: i32, count: usize) -> String {
    let notes = words::count(count, "note");
    let verb = if count == 1 { "goes" } else { "go" };
    let direction = if octaves < 0 { "down" } else { "up" };
    match octaves.unsigned_abs() {
        1 => format!("{notes} {verb} {direction} an octave"),
        n => format!("{notes} {verb} {direction} {n} octaves"),
    }
}

/// Thirds and sevenths that no pan strums: each tone of a chord once, with its sections.
fn tones_said(fitted: &KeyFit) -> Vec<String> {
    let mut tones: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for lack in &fitted.lacks {
        if let Lack::Tone { section, chord, class, role } = lack {
            let section = &fitted.tune.sections[*section];
            let tone = section.key.spell_class(*class);
            let said = format!("no strum plays {tone}, the {} of {chord}", role.name());
            tones.entry(said).or_default().insert(format!("`{}`", section.name));
        }
    }
    let sections = |names: &BTreeSet<String>| words::and(&names.iter().cloned().collect::<Vec<_>>());
    tones.iter().map(|(said, names)| format!("{said} (section {})", sections(names))).collect()
}

fn hand_said(tune: &Tune<Open>, hand: &Hand) -> String {
    let pan = &tune.band.pans[hand.pan].pan.name;
    let moves = match hand.moved {
        0 => "as it is written".to_owned(),
        1 => "with 1 note in another octave".to_owned(),
        n => format!("with {n} notes in other octaves"),
    };
    match hand.from {
        None => format!("  {pan} could take it, {moves}\n"),
        Some((section, bar)) => {
            let section = &tune.sections[section];
            let bar = section.number_of(bar as usize);
            format!("  {pan} could take it from bar {bar} of `{}` on, {moves}\n", section.name)
        }
    }
}

fn swap_said(tune: &Tune<Open>, swap: &Swap) -> String {
    let name = |part: usize| &tune.parts[part].name;
    let (a, b) = swap.parts;
    format!("`{}` and `{}` could change pans\n", name(a), name(b))
}
