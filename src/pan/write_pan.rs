//! Writing a pan file, as a user would write it; [`read_pan()`](super::read_pan()) reads the same pan back.

use std::collections::BTreeMap;
use std::fmt::Write;

use super::face::{Drum, NoteArea, Pan, Ring, Sure, Sureness};

/// The most places into which a ring is divided so that its notes need no angles of their own.
const MOST_PLACES: usize = 24;

/// The text of a pan's file.
///
/// What a file can't say is left out: the ring of a note without an angle, the angle of a note without a ring. A dead note has no
/// cents. The pan must have a name and at least one note, and no note twice, or it could not be read back.
///
/// ```
/// # use panfold::{pan::{layout, read_pan, write_pan}, text::Source};
/// let pan = layout("double-second").unwrap();
/// let (read, findings) = read_pan(&Source::new("copy.toml", write_pan(pan)));
/// assert!(findings.is_empty());
/// assert_eq!(read.as_ref(), Some(pan));
/// ```
pub fn write_pan(pan: &Pan) -> String {
    let mut text = String::new();
    put(&mut text, "name", &quoted(&pan.name));
    put(&mut text, "kind", &quoted(pan.kind.name()));
    for (key, value) in [("title", &pan.title), ("source", &pan.source), ("note", &pan.note)] {
        if !value.is_empty() {
            put(&mut text, key, &quoted(value));
        }
    }
    let dead = pan.drums.iter().flat_map(|drum| &drum.dead).map(|note| note.name.to_string());
    let dead: Vec<String> = dead.collect();
    if !dead.is_empty() {
        put(&mut text, "without", &quoted(&dead.join(" ")));
    }
    let off = pan.notes().filter(|(_, note)| note.cents.0 != 0.0);
    let off: Vec<String> = off.map(|(_, note)| format!("\"{}\" = {}", note.name, note.cents.0)).collect();
    if !off.is_empty() {
        put(&mut text, "cents", &format!("{{ {} }}", off.join(", ")));
    }
    let said = Sureness { angles: Sure::Schematic, ..Sureness::default() };
    if pan.sureness != said {
        put(&mut text, "confidence", &confidence(pan.sureness));
    }
    pan.drums.iter().for_each(|drum| text.push_str(&drum_table(drum)));
    text
}

fn put(text: &mut String, key: &str, value: &str) {
    writeln!(text, "{key} = {value}").expect("text takes text");
}

fn confidence(sure: Sureness) -> String {
    let sides = [("pitches", sure.pitches), ("drums", sure.drums), ("rings", sure.rings), ("angles", sure.angles)];
    let said = sides.map(|(side, sure)| format!("{side} = \"{}\"", sure.word()));
    format!("{{ {} }}", said.join(", "))
}

/// A text in quotes, on one line.
fn quoted(text: &str) -> String {
    let mut out = String::from('"');
    for c in text.chars() {
        match c {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\0'..='\x1f' | '\x7f' => write!(out, "\\u{:04X}", u32::from(c)).expect("text takes text"),
            c => out.push(c),
        }
    }
    out + "\""
}

fn drum_table(drum: &Drum) -> String {
    let mut text = String::from("\n[[drums]]\n");
    let all = || drum.notes.iter().chain(&drum.dead);
    let placed = |note: &&NoteArea| note.ring.is_some() && note.angle.is_some();
    let first = all().find(placed).and_then(|note| note.angle);
    let rings: BTreeMap<Ring, Vec<&NoteArea>> = Ring::ALL
        .into_iter()
        .map(|ring| (ring, all().filter(placed).filter(|note| note.ring == Some(ring)).collect::<Vec<_>>()))
        .filter(|(_, notes)| !notes.is_empty())
        .collect();
    // The angle at which most rings need no angles of their own; of equals the one with fewer places.
    let cost = |start: f64| -> (usize, usize) {
        let counts: Vec<Option<usize>> = rings.values().map(|notes| Some(places(notes, start)?.len())).collect();
        let uneven = counts.iter().filter(|count| count.is_none()).count();
        (uneven, counts.iter().flatten().sum())
    };
    let start = first.filter(|first| cost(*first) < cost(0.0)).unwrap_or(0.0);
    if start != 0.0 {
        put(&mut text, "start", &start.to_string());
    }
    for (ring, notes) in &rings {
        let words = places(notes, start).unwrap_or_else(|| {
            notes.iter().map(|note| format!("{}@{}", note.name, note.angle.unwrap_or_default())).collect()
        });
        put(&mut text, ring.name(), &quoted(&words.join(" ")));
    }
    let loose: Vec<String> = all().filter(|note| !placed(note)).map(|note| note.name.to_string()).collect();
    if !loose.is_empty() {
        put(&mut text, "notes", &quoted(&loose.join(" ")));
    }
    text
}

/// A ring's notes as places of equal width from `start` on, with `.` for the empty ones; `None` when they do not lie so.
fn places(notes: &[&NoteArea], start: f64) -> Option<Vec<String>> {
    let divided = |count: usize| {
        let step = 360.0 / count as f64;
        let mut words = vec![".".to_owned(); count];
        let mut place = |note: &&NoteArea| {
            let at = (0..count).find(|i| Some((start + step * *i as f64).rem_euclid(360.0)) == note.angle)?;
            let free = words[at] == ".";
            words[at] = note.name.to_string();
            free.then_some(at)
        };
        let at: Vec<usize> = notes.iter().map(&mut place).collect::<Option<_>>()?;
        // Notes are read in the order of their places; the order of the dead ones stands in `without`.
        at.is_sorted().then_some(words)
    };
    (notes.len()..=MOST_PLACES).find_map(divided)
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::music::pitch::Tone;
    use crate::music::{Cents, Letter, NoteName};
    use crate::pan::read_pan::{MAX_CENTS, MAX_DRUMS};
    use crate::pan::{PanKind, layouts, read_pan};
    use crate::text::Source;

    fn read_back(pan: &Pan) -> Result<Pan, String> {
        let text = write_pan(pan);
        match read_pan(&Source::new("pan.toml", text.as_str())) {
            (Some(pan), findings) if findings.is_empty() => Ok(pan),
            (_, findings) => Err(format!("{text}{findings:?}")),
        }
    }

    #[test]
    fn every_layout_comes_back() {
        for pan in layouts::layouts() {
            assert_eq!(read_back(pan).as_ref(), Ok(pan));
            // Layouts are divided evenly: no note gets an angle of its own that has none in the file.
            let (written, file) = (write_pan(pan), layouts::text(&pan.name).expect("a file"));
            assert!(written.matches('@').count() <= file.matches('@').count(), "{written}");
        }
    }

    fn sure() -> impl Strategy<Value = Sure> {
        prop::sample::select(vec![Sure::High, Sure::Medium, Sure::Low, Sure::Schematic, Sure::Placeholder])
    }

    /// A note with the drum it goes to, and whether it is dead. Rings and angles come together; a dead note has no cents.
    fn note() -> impl Strategy<Value = (NoteArea, usize, bool)> {
        let name = (prop::sample::select(Letter::ALL.to_vec()), -2_i8..=2, 0_i8..9);
        let place = prop_oneof![
            Just(None),
            (prop::sample::select(Ring::ALL.to_vec()), 0.0..360.0).prop_map(Some),
            (prop::sample::select(Ring::ALL.to_vec()), 0_u8..12)
                .prop_map(|(ring, i)| Some((ring, 30.0 * f64::from(i)))),
        ];
        let cents = prop_oneof![Just(0.0), -MAX_CENTS..MAX_CENTS];
        (name, place, cents, 0..MAX_DRUMS, prop::bool::weighted(0.1)).prop_map(
            |((letter, alter, octave), place, cents, drum, dead)| {
                let name = NoteName { tone: Tone::new(letter, alter), octave };
                let pitch = name.pitch().expect("a key");
                let (ring, angle) = place.unzip();
                let cents = Cents(if dead { 0.0 } else { cents });
                (NoteArea { name, pitch, ring, angle, cents }, drum, dead)
            },
        )
    }

    /// A pan as a file can say it: notes ring by ring and then those without, no note twice, at least one alive.
    fn pan() -> impl Strategy<Value = Pan> {
        let texts = ("[^\\s]\\PC{0,12}", any::<String>(), any::<String>(), any::<String>());
        let sureness = prop_oneof![
            Just(Sureness { angles: Sure::Schematic, ..Sureness::default() }),
            (sure(), sure(), sure(), sure()).prop_map(|(pitches, drums, rings, angles)| Sureness {
                pitches,
                drums,
                rings,
                angles
            }),
        ];
        let kind = prop::sample::select(PanKind::ALL.to_vec());
        (texts, kind, sureness, prop::collection::vec(note(), 1..40), 1..MAX_DRUMS).prop_map(
            |((name, title, source, note), kind, sureness, notes, count)| {
                let mut drums = vec![Drum::default(); count];
                let mut seen = Vec::new();
                for (note, drum, dead) in notes {
                    if seen.contains(&note.pitch) {
                        continue;
                    }
                    let dead = dead && !seen.is_empty();
                    seen.push(note.pitch);
                    let drum = &mut drums[drum % count];
                    if dead { drum.dead.push(note) } else { drum.notes.push(note) }
                }
                drums
                    .iter_mut()
                    .for_each(|drum| drum.notes.sort_by_key(|note| note.ring.map_or(3, |ring| ring as usize)));
                Pan { name, title, kind, drums, sureness, source, note }
            },
        )
    }

    proptest! {
        #![proptest_config(ProptestConfig {
            rng_seed: proptest::test_runner::RngSeed::Fixed(1952),
            failure_persistence: None,
            ..ProptestConfig::with_cases(400)
        })]

        #[test]
        fn what_is_written_is_read(pan in pan()) {
            prop_assert_eq!(read_back(&pan), Ok(pan));
        }
    }
}
