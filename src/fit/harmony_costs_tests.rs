//! What harmony lines cost, from the words of the room alone: a table with a row for each term, and the same costs and choices over
//! keys for the brute force, which calls nothing of the optimiser.

use super::*;

/// By semitones from 0 on, and beyond a tenth. Our own setting: see [`INTERVALS`].
const BY_INTERVAL: [i64; 17] =
    [12_000, 12_000, 8_000, 0, 0, 2_500, 4_000, 3_000, 600, 600, 6_000, 8_000, 4_000, 12_000, 8_000, 1_200, 1_200];
const BEYOND: i64 = 6_000;

/// The pitch classes of the chords that the tests use, from C = 0, spelled out by hand; the bass after a slash is one of them.
const CHORDS: [(&str, &[u8]); 10] = [
    ("G", &[7, 11, 2]),
    ("C", &[0, 4, 7]),
    ("D7", &[2, 6, 9, 0]),
    ("Em", &[4, 7, 11]),
    ("Am7", &[9, 0, 4, 7]),
    ("C/Bb", &[0, 4, 7, 10]),
    ("A", &[9, 1, 4]),
    ("Bb", &[10, 2, 5]),
    ("E", &[4, 8, 11]),
    ("Cm", &[0, 3, 7]),
];

/// The scale of a major key: whole steps and half steps, as any handbook of music has them.
const MAJOR: [u8; 7] = [0, 2, 4, 5, 7, 9, 11];

fn of_chord(followed: &Followed, key: u8) -> Option<bool> {
    let name = followed.chord?.to_string();
    let (_, classes) = CHORDS.iter().find(|(chord, _)| *chord == name).expect("a chord of the table");
    Some(classes.contains(&(key % 12)))
}

fn of_scale(followed: &Followed, key: u8) -> bool {
    let tonic = followed.key.tonic().class().number();
    MAJOR.contains(&((key % 12 + 12 - tonic) % 12))
}

/// What a line may play: a tone of the chord or of the scale on its side, up to two octaves away.
pub(super) fn choices(followed: &Followed, set: NoteSet, side: Side) -> Vec<Pitch> {
    let fits = |pitch: &Pitch| {
        let (part, line) = (i64::from(followed.pitch.key()), i64::from(pitch.key()));
        let away = if side == Side::Under { part - line } else { line - part };
        let is_tone = of_chord(followed, pitch.key()) == Some(true) || of_scale(followed, pitch.key());
        is_tone && (1..=24).contains(&away)
    };
    set.iter().filter(fits).collect()
}

/// What a note costs by its interval, and as a tone that is not in the chord.
pub(super) fn own(followed: &Followed, choice: Pitch) -> i64 {
    let interval = (i64::from(followed.pitch.key()) - i64::from(choice.key())).unsigned_abs() as usize;
    let passing = if of_chord(followed, choice.key()) == Some(false) { 1_000 } else { 0 };
    passing + if interval > 16 { BEYOND } else { BY_INTERVAL[interval] }
}

/// What rubs, or is hollow, whatever octaves lie between: seconds and sevenths; fifths; octaves.
fn sort(interval: i64) -> Option<&'static str> {
    match interval.abs() % 12 {
        1 | 2 | 10 | 11 => Some("seconds and sevenths"),
        7 => Some("fifths"),
        0 => Some("octaves"),
        _ => None,
    }
}

/// What it costs to go on: by how much the line leaps more than the part, and, in a phrase, how the two move.
pub(super) fn between(from: (&Followed, Pitch), to: (&Followed, Pitch), rest: bool) -> i64 {
    let key = |pitch: Pitch| i64::from(pitch.key());
    let (part, line) = (key(to.0.pitch) - key(from.0.pitch), key(to.1) - key(from.1));
    let mut cost = 250 * (line.abs() - part.abs()).max(0);
    if rest {
        return cost;
    }
    if part == 0 {
        return cost + if line == 0 { 0 } else { 2_000 };
    }
    if line * part <= 0 {
        cost += 1_500;
    }
    let (first, second) = (sort(key(from.0.pitch) - key(from.1)), sort(key(to.0.pitch) - key(to.1)));
    cost + if first.is_some() && first == second { 6_000 } else { 0 }
}

/// A part as words: `D5:Bb` a note with its chord, `|` before it a rest; the key is C.
fn part(text: &str) -> Vec<Followed> {
    let note = |word: &str| {
        let (name, chord) = word.trim_start_matches('|').split_once(':').unwrap_or((word.trim_start_matches('|'), ""));
        Followed {
            pitch: name.parse().expect(name),
            chord: (!chord.is_empty()).then(|| chord.parse().expect(chord)),
            key: Key::default(),
            after_rest: word.starts_with('|'),
        }
    };
    text.split(' ').map(note).collect()
}

fn set(text: &str) -> NoteSet {
    text.split(' ').map(|name| name.parse::<Pitch>().expect(name)).collect()
}

#[test]
fn what_each_interval_costs() {
    // The line plays C4, a tone of the scale of C; the part lies above it.
    let from = i32::from(Pitch::key("C4".parse().expect("a note")));
    for semitones in 1..=24 {
        let followed = Followed {
            pitch: Pitch::new((from + semitones).unsigned_abs() as u8).expect("a key"),
            chord: None,
            key: Key::default(),
            after_rest: false,
        };
        let line = line(&[followed], set("C4"), Side::Under);
        let cost = BY_INTERVAL.get(semitones.unsigned_abs() as usize).copied().unwrap_or(BEYOND);
        assert_eq!((line.cost, line.notes[0].is_some()), (cost, true), "{semitones} semitones");
    }
    // Two octaves keep it within any pan: beyond there is no line.
    let far = line(&part("C#6"), set("C4"), Side::Under);
    assert_eq!((far.notes, far.cost), (vec![None], 0));
}

/// Lines that have no choice, since each chord has one note of the pan and the other note is in neither chord nor scale. All figures
/// are our own settings: see the constants at the top of the room.
#[test]
fn what_each_term_costs() {
    let table = [
        ("thirds side by side", "D5:Bb G5:Cm", "Bb4 Eb5", 0),
        ("thirds, to which the line leaps by one more than the part", "D5:Bb F#5:Cm", "Bb4 Eb5", 250),
        ("a leap counts across a rest too", "D5:Bb |F#5:Cm", "Bb4 Eb5", 250),
        ("a tone of the scale over a chord without it", "E5:Em", "C5", 1_000),
        ("the bass after a slash is in the chord", "D5:C/Bb", "Bb4", 0),
        ("the part goes up and the line down: third, then minor sixth", "D5:Bb E5:E", "Bb4 Ab4", 1_500 + 600),
        ("after a rest it may", "D5:Bb |E5:E", "Bb4 Ab4", 600),
        ("the line stands while the part moves: third, then fourth", "E5 F5", "C5", 2_500 + 1_500),
        (
            "the part repeats and the line does not, by two: third, then second",
            "E5:A E5:Cm",
            "C#5 Eb5",
            12_000 + 2_000 + 500,
        ),
        ("fifths twice", "F5:Bb Bb5:Cm", "Bb4 Eb5", 3_000 + 3_000 + 6_000),
        ("fifths twice across a rest", "F5:Bb |Bb5:Cm", "Bb4 Eb5", 3_000 + 3_000),
        ("a fifth that is repeated is one", "F5:Bb F5:Bb", "Bb4", 3_000 + 3_000),
        ("octaves twice", "Bb5:Bb Eb6:Cm", "Bb4 Eb5", 4_000 + 4_000 + 6_000),
        ("seconds twice", "C5:Bb F5:Cm", "Bb4 Eb5", 8_000 + 8_000 + 6_000),
        ("sevenths twice", "Ab5:Bb C#6:Cm", "Bb4 Eb5", 6_000 + 6_000 + 6_000),
        ("a major and a minor seventh, by a leap of one", "A5:Bb C#6:Cm", "Bb4 Eb5", 8_000 + 6_000 + 6_000 + 250),
        ("sevenths twice across a rest", "Ab5:Bb |C#6:Cm", "Bb4 Eb5", 6_000 + 6_000),
        ("sixths twice", "G5:Bb C6:Cm", "Bb4 Eb5", 600 + 600),
    ];
    for (what, text, pan, cost) in table {
        let part = part(text);
        let line = line(&part, set(pan), Side::Under);
        assert!(line.notes.iter().all(Option::is_some), "{what}: {line:?}");
        assert_eq!(line.cost, cost, "{what}");
    }
}

#[test]
fn a_line_over_a_part_costs_as_one_under_it() {
    // The first and the last rows of the table, upside down.
    let cost = |text: &str, pan: &str| line(&part(text), set(pan), Side::Over).cost;
    assert_eq!(cost("Gb4:Bb B4:Cm", "Bb4 Eb5"), 0);
    assert_eq!(cost("C4:Bb F4:Cm", "Bb4 Eb5"), 6_000 + 6_000 + 6_000);
    assert_eq!(cost("E4:Em", "C5"), 600 + 1_000);
}

#[test]
fn what_is_passed_over_leaves_neighbours_and_its_rest() {
    // Nothing of the pan lies under A4: the thirds around it are neighbours, a leap of one apart.
    for (text, cost) in [("D5:Bb A4:Bb F#5:Cm", 250), ("F5:Bb |A4:Bb Bb5:Cm", 6_000)] {
        let line = line(&part(text), set("Bb4 Eb5"), Side::Under);
        assert_eq!((line.notes[1], line.cost), (None, cost), "{text}");
    }
}

#[test]
fn what_is_wanted_of_a_pan_that_has_nothing_is_the_third_on_that_side() {
    // Thirds of the scale of C, as any handbook of music has them; over A major the third above A is C#.
    let table = [
        ("C5", Side::Under, "A4"),
        ("D5", Side::Under, "B4"),
        ("E5", Side::Under, "C5"),
        ("F5", Side::Under, "D5"),
        ("G5", Side::Under, "E5"),
        ("C5", Side::Over, "E5"),
        ("D5", Side::Over, "F5"),
        ("E5", Side::Over, "G5"),
        ("F5", Side::Over, "A5"),
        ("B5", Side::Over, "D6"),
        ("A4:A", Side::Over, "C#5"),
        ("A4", Side::Over, "C5"),
    ];
    for (text, side, third) in table {
        let named: Pitch = third.parse().expect("a note");
        assert_eq!(wanted(&part(text)[0], side), named, "{text} {side:?}");
    }
}
