//! What was chosen where a tune left it open: octaves and degrees, strums, harmony lines; for reading, not for typing in.

use std::fmt::Write;

use crate::door::loaded::Loaded;
use serde_json::{Value, json};

use crate::fit::settle::SectionStrum;
use crate::music::{Key, Pitch};
use crate::pan::Cost;
use crate::text::words;
use crate::tune::model::{Event, Open, Row, Section, Side, Struck};

/// A row whose notes were chosen.
struct Chosen<'a> {
    section: usize,
    part: usize,
    /// What the row asks for: `under lead`, `degrees and open octaves`.
    what: String,
    row: &'a Row,
}

fn chosen(loaded: &Loaded) -> Vec<Chosen<'_>> {
    let mut all = Vec::new();
    for (number, section) in loaded.open.sections.iter().enumerate() {
        for (part, row) in section.rows.iter().enumerate() {
            let Some(row) = row.as_ref().filter(|row| row.doubles.is_none()) else { continue };
            let settled = loaded.tune.sections[number].rows[part].as_ref();
            if let (Some(what), Some(row)) = (what(loaded, row), settled) {
                all.push(Chosen { section: number, part, what, row });
            }
        }
    }
    all
}

/// What a row leaves open, if anything; strums are shown chord by chord.
fn what(loaded: &Loaded, row: &Row<Open>) -> Option<String> {
    let notes = row.events.iter().flat_map(|event| match &event.struck {
        Struck::Notes(notes) => notes.as_slice(),
        Struck::Mark(_) => &[],
    });
    let mut tones = false;
    for note in notes {
        match note.pitch {
            Open::Harmony { of, side, .. } => {
                let side = if side == Side::Under { "under" } else { "over" };
                return Some(format!("{side} `{}`", loaded.open.parts[of].name));
            }
            Open::Tone { .. } => tones = true,
            Open::Pitch(_) | Open::Strum => {}
        }
    }
    tones.then(|| "open octaves".to_owned())
}

/// The explanation as text; a sentence when nothing was open.
pub fn text(loaded: &Loaded) -> String {
    let rows = chosen(loaded);
    if rows.is_empty() && loaded.strums.is_empty() {
        return "Every note is written with its octave: nothing was chosen.\n".to_owned();
    }
    let mut out = String::from("What was chosen:\n");
    for (number, section) in loaded.tune.sections.iter().enumerate() {
        let rows: Vec<&Chosen> = rows.iter().filter(|row| row.section == number).collect();
        let strum = loaded.strums.iter().find(|strum| strum.section == number);
        if rows.is_empty() && strum.is_none() {
            continue;
        }
        let _ = writeln!(out, "\nsection `{}`", section.name);
        for chosen in rows {
            let name = &loaded.tune.parts[chosen.part].name;
            let bars = bars(section, chosen.row).join(" | ");
            let _ = writeln!(out, "  `{name}`, {}: {bars}", chosen.what);
        }
        if let Some(strum) = strum {
            strummed(&mut out, loaded, section, strum);
        }
    }
    out
}

/// A row's notes bar by bar.
fn bars(section: &Section, row: &Row) -> Vec<String> {
    let of_bar = |bar: usize| -> Vec<String> {
        let events = row.events.iter().filter(|event| event.bar as usize == bar);
        events.map(|event| struck(event, section.key)).collect()
    };
    let bar = |bar: usize| if of_bar(bar).is_empty() { ".".to_owned() } else { of_bar(bar).join(" ") };
    (0..section.bars()).map(bar).collect()
}

fn struck(event: &Event, key: Key) -> String {
    match &event.struck {
        Struck::Notes(notes) => together(notes.iter().map(|note| note.pitch), key),
        Struck::Mark(mark) => mark.to_char().to_string(),
    }
}

fn together(pitches: impl Iterator<Item = Pitch>, key: Key) -> String {
    pitches.map(|pitch| key.spell(pitch).to_string()).collect::<Vec<_>>().join("+")
}

fn strummed(out: &mut String, loaded: &Loaded, section: &Section, strum: &SectionStrum) {
    let voiced = &strum.voiced;
    for (slot, part) in strum.parts.iter().enumerate() {
        let chords = strum.chords.iter().zip(&voiced.pairs[slot]).filter_map(|((_, moment), pair)| {
            let (low, high) = (*pair)?;
            Some(format!("{} {}", moment.chord, together([Some(low), high].into_iter().flatten(), section.key)))
        });
        let chords = chords.collect::<Vec<_>>().join(", ");
        let _ = writeln!(out, "  `{}` strums: {chords}", loaded.tune.parts[*part].name);
    }
    let mut lacks: Vec<String> = Vec::new();
    for ((_, moment), tones) in strum.chords.iter().zip(&voiced.left_out) {
        if !tones.is_empty() {
            let names: Vec<String> = tones.iter().map(|(_, role)| role.name().to_owned()).collect();
            let said = format!("{} without its {}", moment.chord, words::and(&names));
            if !lacks.contains(&said) {
                lacks.push(said);
            }
        }
    }
    let together = match lacks.is_empty() {
        true => "together they cover every chord note".to_owned(),
        false => format!("together they play {}", words::and(&lacks)),
    };
    let _ = writeln!(out, "  {together}; {}", proof(voiced.cost, voiced.bound));
}

/// How good a voicing is: the best only where that is proven.
fn proof(cost: Cost, bound: Cost) -> String {
    if cost == bound {
        return "this is the best voicing".to_owned();
    }
    let units = crate::cli::fit::report::units;
    format!("there may be a better voicing: this one costs {}, and none costs less than {}", units(cost), units(bound))
}

/// The same as JSON.
pub fn as_json(loaded: &Loaded) -> Value {
    let rows: Vec<Value> = chosen(loaded)
        .iter()
        .map(|chosen| {
            let section = &loaded.tune.sections[chosen.section];
            json!({
                "section": section.name,
                "part": loaded.tune.parts[chosen.part].name,
                "what": chosen.what,
                "bars": bars(section, chosen.row),
            })
        })
        .collect();
    let strums: Vec<Value> = loaded.strums.iter().map(|strum| strum_json(loaded, strum)).collect();
    json!({ "rows": rows, "strums": strums })
}

fn strum_json(loaded: &Loaded, strum: &SectionStrum) -> Value {
    let section = &loaded.tune.sections[strum.section];
    let chords = strum.chords.iter().enumerate().map(|(number, (_, moment))| {
        let pairs = strum.parts.iter().zip(&strum.voiced.pairs);
        let notes: serde_json::Map<String, Value> = pairs
            .filter_map(|(part, pairs)| {
                let (low, high) = pairs[number]?;
                let notes = together([Some(low), high].into_iter().flatten(), section.key);
                Some((loaded.tune.parts[*part].name.clone(), json!(notes)))
            })
            .collect();
        let left_out: Vec<&str> = strum.voiced.left_out[number].iter().map(|(_, role)| role.name()).collect();
        json!({ "chord": moment.chord.to_string(), "notes": notes, "left_out": left_out })
    });
    json!({
        "section": section.name,
        "chords": chords.collect::<Vec<_>>(),
        "cost": strum.voiced.cost,
        "bound": strum.voiced.bound,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_is_proven_is_called_the_best() {
        assert_eq!(proof(20_991, 20_991), "this is the best voicing");
        let open = proof(81_688, 80_842);
        assert_eq!(open, "there may be a better voicing: this one costs 81.688, and none costs less than 80.842");
        assert!(!open.contains("the best"));
    }
}
