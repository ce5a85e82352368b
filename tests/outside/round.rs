//! Export and import: what panfold writes as MusicXML it reads back as the same tune.
//!
//! The law needs no source. The tunes are the demo's, those of `data/odd`, and made-up ones with everything that the notation
//! has. Equal are: title, maker, swing, parts and who plays them; the sections as played with their keys, meters, tempos,
//! bars, chords, words and dynamics; every stroke with its time, length, notes, sticks, accent, damping and roll; and the
//! strokes of the performance.

use std::fmt::Write;
use std::path::Path;
use std::sync::Arc;

use panfold::exchange;
use panfold::exchange::musicxml_out::{self, container, timeline};
use panfold::fit::settle::settle;
use panfold::music::Seed;
use panfold::music::{Length, Moment};
use panfold::notation::tree::Stick;
use panfold::pan::Band;
use panfold::performance::perform::{Options, perform};
use panfold::text::Severity;
use panfold::tune::Tune;
use panfold::tune::model::{Event, Player, Section, Struck};

use crate::kit::{band_in, file, playable, seated, told};

/// Made-up tunes that are tried.
const TRIALS: u64 = 300;

/// The bands' folders.
const DEMO: &str = "arrangements";
const ODD: &str = "tests/outside/data/odd";

fn band(folder: &str, name: &str) -> Arc<Band> {
    band_in(folder, file(folder, name).text())
}

/// The tune that is read from the score that another is written as, and its text.
fn round(tune_out: &Tune, band: &Arc<Band>) -> (Tune, String) {
    let parts: Vec<usize> = (0..tune_out.parts.len()).collect();
    let score = musicxml_out::write(tune_out, &parts).expect("a score");
    let mut music = exchange::read("a.musicxml", score, None).expect("what panfold writes");
    let imported = exchange::tune(&music.score, Some((band, "band.toml")), "a", &Default::default(), &mut music.lost)
        .expect("a tune");
    let lost: Vec<String> = music.lost.findings("a", music.source.as_ref()).into_iter().map(|f| f.message).collect();
    assert!(lost.is_empty(), "{lost:?}\n{}", imported.text);
    // What is written raises no question about how it is written.
    let (_, asked) = told(band, &imported.text);
    let kinds = ["odd-cells", "pickup-bar", "uneven-chords", "note-or-degree", "missing-bar-line"];
    let asked: Vec<_> = asked.iter().filter(|finding| kinds.contains(&finding.kind.name)).map(|f| &f.message).collect();
    assert!(asked.is_empty(), "{asked:?}\n{}", imported.text);
    (playable(band, &imported.text), imported.text)
}

/// What a tune says, a line each.
fn said(tune: &Tune) -> Vec<String> {
    let mut lines = vec![format!("{} by {:?}, swing {:?}", tune.title, tune.by, tune.swing)];
    lines.extend(tune.parts.iter().map(|part| match &part.player {
        Player::Pans { kind, pans } => format!("part {} on {kind}: {pans:?}", part.name),
        Player::Percussion { instrument, percussion } => format!("part {} on {instrument}: {percussion:?}", part.name),
    }));
    let played = tune.passes().map(|(number, ..)| &tune.sections[number]).filter(|section| section.bars() > 0);
    lines.extend(played.map(section));
    let stretches = timeline::played_out(tune);
    for (number, part) in tune.parts.iter().enumerate() {
        for held in timeline::notes(tune, number, &stretches) {
            let event = held.event;
            let struck = match &event.struck {
                Struck::Mark(mark) => mark.to_char().to_string(),
                Struck::Notes(notes) => {
                    let mut notes: Vec<String> = notes
                        .iter()
                        .enumerate()
                        .map(|(number, note)| {
                            let stick = event.stick.map(|stick| if number == 0 { stick } else { stick.other() });
                            format!(
                                "{}{}",
                                note.pitch,
                                stick.map_or("", |stick| if stick == Stick::L { "L" } else { "R" })
                            )
                        })
                        .collect();
                    notes.sort();
                    notes.join("+")
                }
            };
            let marks = (event.accent, event.damped, held.rolled);
            lines.push(format!("{} {} to {} {struck} {marks:?}", part.name, at(held.at), at(held.end)));
        }
    }
    // The performance: everything that is heard, with its force.
    let performance = perform(tune, &Options::default());
    lines.extend(performance.strokes.iter().map(|stroke| {
        let voice = &performance.voices[usize::from(stroke.voice)].name;
        format!("{voice} {} for {} {:?} {:?}", at(stroke.at), stroke.length.ratio(), stroke.sound, stroke.force)
    }));
    lines
}

fn at(moment: Moment) -> String {
    (moment - Moment::START).ratio().to_string()
}

/// Its settings and what stands over its bars. A chord row that begins with no chord says no more than one that begins later.
fn section(section: &Section) -> String {
    let mut text = format!("{} {} {} {}", section.name, section.key, section.meter, section.tempo);
    for bar in &section.bar_starts {
        write!(text, " |{}", bar.ratio()).expect("text takes text");
    }
    let chords = section.chords.iter().skip_while(|at| at.chord.is_none());
    for at in chords {
        let chord = at.chord.map_or_else(|| "none".to_owned(), |chord| chord.to_string());
        write!(text, " {}:{chord}", at.start.ratio()).expect("text takes text");
    }
    for words in &section.words {
        write!(text, " {}:{:?}", words.bar, words.text).expect("text takes text");
    }
    for at in &section.dynamics {
        write!(text, " {}:{:?}", at.start.ratio(), at.change).expect("text takes text");
    }
    text
}

/// Both tunes say the same; the first line that differs is shown, with both texts.
fn assert_same(what: &str, before: &Tune, after: &Tune, text: &str) {
    let (one, other) = (said(before), said(after));
    let count = one.len().max(other.len());
    let differs = (0..count).find(|line| one.get(*line) != other.get(*line));
    if let Some(line) = differs {
        let written = before.source.text();
        panic!("{what}:\n  {:?}\n  {:?}\n{written}\n{text}", one.get(line), other.get(line));
    }
}

#[test]
fn the_demo_and_odd_tunes_come_back() {
    let mut count = 0;
    for (folder, name) in [(DEMO, "lantern-quay.toml"), (ODD, "band.toml")] {
        let band = band(folder, name);
        for entry in std::fs::read_dir(Path::new(env!("CARGO_MANIFEST_DIR")).join(folder)).expect("a folder") {
            let name = entry.expect("an entry").file_name().into_string().expect("a name");
            if !name.ends_with(".tune") {
                continue;
            }
            let before = playable(&band, &file(folder, &name));
            let (after, text) = round(&before, &band);
            assert_same(&name, &before, &after, &text);
            // Once more, so that what import writes is told too.
            let (again, text) = round(&after, &band);
            assert_same(&name, &before, &again, &text);
            count += 1;
        }
    }
    assert_eq!(count, 11, "tunes were added or taken away: count them anew");
}

#[test]
fn a_container_says_the_same_as_the_plain_score() {
    let before = playable(&band(DEMO, "lantern-quay.toml"), &file(DEMO, "slow-water.tune"));
    let parts: Vec<usize> = (0..before.parts.len()).collect();
    let plain = musicxml_out::write(&before, &parts).expect("a score");
    let packed = container::contain(&plain);
    let read = |bytes: Vec<u8>| exchange::read("a", bytes, None).expect("a score").score;
    assert_eq!(read(packed), read(plain));
}

/// Seeded numbers.
struct Dice(Seed);

impl Dice {
    fn roll(&mut self, below: u64) -> u64 {
        self.0.next_u64() % below
    }

    fn is(&mut self, percent: u64) -> bool {
        self.roll(100) < percent
    }

    fn pick<'a>(&mut self, of: &[&'a str]) -> &'a str {
        of[self.roll(of.len() as u64) as usize]
    }
}

const KEYS: [&str; 8] = ["C", "G", "F#", "Eb", "Am", "C#m", "Bbm", "Cb"];
const METERS: [&str; 7] = ["4/4", "3/4", "2/4", "6/8", "2/2", "7/8", "5/4"];
const CHORDS: [&str; 10] = ["G", "Am7", "D7", "N.C.", "Bbmaj7", "F#m7b5", "C/E", "Edim7", "Asus4", "Gadd9"];
const MARKS: [&str; 8] = ["pp", "p", "mp", "mf", "f", "ff", "<", ">"];
const WORDS: [&str; 10] =
    ["now", "D.C. is no jump", "Fine", "3 times", "swing low", "swing 3:2", "2 times", "# one", "L", "<b> & \"x\""];
const NOTES: [&str; 10] = ["G4", "F#4", "Gb4", "Cb5", "B#4", "E5", "Bb4", "A4", "C5", "D#5"];

/// What a part plays in a cell or a slot; `sounds`: whether a note is there to go on.
fn slot(dice: &mut Dice, percussion: Option<&[&str]>, sounds: &mut bool) -> String {
    let roll = dice.roll(10);
    if roll < 2 {
        *sounds = false;
        return ".".to_owned();
    }
    if roll < 4 && *sounds {
        return if dice.is(30) { "~" } else { "-" }.to_owned();
    }
    *sounds = true;
    if let Some(strokes) = percussion {
        return format!("{}{}", dice.pick(strokes), if dice.is(10) { ">" } else { "" });
    }
    let first = dice.pick(&NOTES);
    let mut text = first.to_owned();
    if dice.is(10) {
        text += dice.pick(&["L", "R"]);
    }
    if dice.is(20) {
        // Another pitch under any name.
        text += &format!("+{}", dice.pick(&["F5", "G5", "Ab5"]));
        if dice.is(10) && !text.contains(['L', 'R']) {
            text += "+C6";
        }
    }
    text + if dice.is(10) { ">" } else { "" } + if dice.is(10) { "'" } else { "" }
}

fn row(dice: &mut Dice, bars: u64, percussion: Option<&[&str]>) -> String {
    // A row may begin with what goes on from the section before it.
    let mut sounds = dice.is(10);
    let mut row = String::from("|");
    for bar in 0..bars {
        if bar > 0 && dice.is(10) {
            row += " % |";
            continue;
        }
        let count = [1, 2, 3, 4, 5, 6, 8, 12][dice.roll(8) as usize];
        for _ in 0..count {
            let parts = if dice.is(8) { 2 + dice.roll(2) } else { 1 };
            let slots: Vec<String> = (0..parts).map(|_| slot(dice, percussion, &mut sounds)).collect();
            row += &format!(" {}", slots.join("/"));
        }
        row += " |";
    }
    row
}

/// A row of chords or dynamics; the first of chords can't hold another.
fn marks(dice: &mut Dice, bars: u64, of: &[&str], percent: u64) -> String {
    let mut row = String::from("|");
    for bar in 0..bars {
        for cell in 0..1 + dice.roll(3) {
            let begins = of == CHORDS && (bar, cell) == (0, 0);
            row += &format!(" {}", if begins || dice.is(percent) { dice.pick(of) } else { "-" });
        }
        row += " |";
    }
    row
}

fn made_up(seed: u64) -> String {
    let dice = &mut Dice(Seed::of(&[seed]));
    let mut text = format!("title Made up {seed}\nband band.toml\nkey {}\nmeter 4/4\n", dice.pick(&KEYS));
    if dice.is(80) {
        text += &format!("tempo {}\n", dice.pick(&["60", "92.5", "104", "133.25"]));
    }
    text += dice.pick(&["", "", "swing 2:1\n", "swing 3:2\n"]);
    text += dice.pick(&["", "pickup 1\n", "pickup 3/2\n"]);
    text += dice.pick(&["", "roll 1\n", "roll none\n", "roll 3\n"]);
    text += "part lead on lead\npart Second on double-second\npart low on six-bass\npart Iron-1 on iron\npart conga on conga\npart spare on lead\n";
    let sections = 1 + dice.roll(4);
    text += "form";
    let mut in_form = vec![false; sections as usize];
    for _ in 0..1 + dice.roll(5) {
        let section = dice.roll(sections);
        in_form[section as usize] = true;
        text += &format!(" s{section}");
        if dice.is(30) {
            text += &format!(" x{}", 2 + dice.roll(3));
        }
    }
    text += "\n";
    for section in (0..sections).filter(|section| in_form[*section as usize]) {
        let bars = 1 + dice.roll(4);
        text += &format!("section s{section}\n");
        for (word, of) in [("key", &KEYS[..]), ("meter", &METERS[..]), ("tempo", &["70", "99.9"][..])] {
            if dice.is(20) {
                text += &format!("{word} {}\n", dice.pick(of));
            }
        }
        if dice.is(60) {
            text += &format!("chords {}\n", marks(dice, bars, &CHORDS, 60));
        }
        if dice.is(40) {
            text += &format!("dynamics {}\n", marks(dice, bars, &MARKS, 40));
        }
        if dice.is(40) {
            let words: Vec<&str> = (0..bars).map(|_| if dice.is(50) { dice.pick(&WORDS) } else { "" }).collect();
            text += &format!("words | {} |\n", words.join(" | "));
        }
        text += &format!("lead {}\n", row(dice, bars, None));
        for part in ["Second", "low"] {
            text += &match dice.roll(4) {
                0 => String::new(),
                1 => format!("{part} = with lead\n"),
                _ => format!("{part} {}\n", row(dice, bars, None)),
            };
        }
        for part in ["Iron-1", "conga"] {
            if dice.is(70) {
                text += &format!("{part} {}\n", row(dice, bars, Some(&["x", "X", "o", "s"])));
            }
        }
    }
    text
}

/// Whether something on the half of a swung beat, or the like, is played straight, since its cells are thirds, or a note
/// that begins in other cells ends among thirds.
fn makes_exceptions(tune: &Tune) -> bool {
    let exception = |section: &Section, event: &Event| {
        let beats = |time: Length| (time - section.bar_length(0)).per(section.meter.beat());
        let bent = |time| !beats(time).is_integer() && beats(time).denom() % 3 != 0;
        let end = event.start + event.length;
        let thirds = |time| beats(time).denom() % 3 == 0;
        if event.straight { bent(event.start) || bent(end) } else { thirds(end) }
    };
    let swung = tune.swing.0 != tune.swing.1;
    swung
        && tune.sections.iter().any(|section| {
            let events = section.rows.iter().flatten().flat_map(|row| &row.events);
            events.into_iter().any(|event| exception(section, event))
        })
}

#[test]
fn made_up_tunes_come_back() {
    let band = band(ODD, "band.toml");
    // What goes on into a section is a mistake where nothing sounds before it; such tunes are passed over. So are those
    // that a score can't tell: a swing has no exceptions there.
    let tunes = (1..=5 * TRIALS).filter_map(|seed| {
        let (open, findings) = seated(&band, &made_up(seed));
        if findings.iter().any(|finding| finding.severity == Severity::Error) {
            return None;
        }
        let tune = settle(&open).tune;
        (!makes_exceptions(&tune)).then_some((seed, tune))
    });
    let tunes: Vec<(u64, Tune)> = tunes.take(TRIALS as usize).collect();
    assert_eq!(tunes.len() as u64, TRIALS);
    for (seed, before) in tunes {
        let (after, text) = round(&before, &band);
        assert_same(&format!("seed {seed}"), &before, &after, &text);
    }
}
