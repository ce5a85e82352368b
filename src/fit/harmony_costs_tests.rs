//! What harmony lines cost, from the words of the room alone: a table with a row for each term, and the same costs and choices over
//! keys for the brute force, which calls nothing of the optimiser.

use super::*;

/// By semitones from 0 on, and beyond a tenth. Our own setting: see [`INTERVALS`].
const BY_INTERVAL: [i64; 17] =
    [12_000, 12_000, 8_000, 0, 0, 1_000, 4_000, 3_000, 600, 600, 6_000, 8_000, 4_000, 12_000, 8_000, 1_200, 1_200];
const BEYOND: i64 = 6_000;

/// The pitch classes of the chords that the tests use, from C = 0, spelled out by hand; the bass after a slash is one of them.
const CHORDS: [(&str, &[u8]); 12] = [
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
    ("F", &[5, 9, 0]),
    ("Cmaj7", &[0, 4, 7, 11]),
];

/// The scale of a major key: whole steps and half steps, as any handbook of music has them.
const MAJOR: [u8; 7] = [0, 2, 4, 5, 7, 9, 11];

/// The pitch classes of each chord of a note.
fn chords(followed: &Followed) -> Vec<&'static [u8]> {
    let classes = |chord: &Chord| {
        let name = chord.to_string();
        CHORDS.iter().find(|(chord, _)| *chord == name).expect("a chord of the table").1
    };
    followed.chords.iter().map(classes).collect()
}

/// How many chords of a note lack a key; and how many of these have a neighbour of it.
fn lacking(followed: &Followed, key: u8) -> (i64, i64) {
    let lacking: Vec<&[u8]> = chords(followed).into_iter().filter(|classes| !classes.contains(&(key % 12))).collect();
    let rubbing = lacking.iter().filter(|classes| [1, 11].iter().any(|up| classes.contains(&((key + up) % 12))));
    (lacking.len() as i64, rubbing.count() as i64)
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
        let of_chord = chords(followed).iter().any(|classes| classes.contains(&(pitch.key() % 12)));
        let is_tone = of_chord || of_scale(followed, pitch.key());
        is_tone && (1..=24).contains(&away)
    };
    set.iter().filter(fits).collect()
}

/// How often a note rubs on its beats: with the part, and with each chord that it is not in.
pub(super) fn rubs(followed: &Followed, choice: Pitch) -> i64 {
    let interval = i64::from(followed.pitch.key()) - i64::from(choice.key());
    let with_part = i64::from([1, 11].contains(&interval.rem_euclid(12)));
    if followed.on_beat { with_part + lacking(followed, choice.key()).1 } else { 0 }
}

/// Whether a note passes: between beats, and not in its chord.
fn passes(followed: &Followed, choice: Pitch) -> bool {
    !followed.on_beat && lacking(followed, choice.key()).0 > 0
}

/// What a note costs by its interval, as a tone that is not in a chord, and by what it rubs with.
pub(super) fn own(followed: &Followed, choice: Pitch) -> i64 {
    let interval = (i64::from(followed.pitch.key()) - i64::from(choice.key())).unsigned_abs() as usize;
    let outside = if followed.on_beat { 5_000 } else { 1_000 };
    let beside = if interval > 16 { BEYOND } else { BY_INTERVAL[interval] };
    let from_nowhere = followed.after_rest && passes(followed, choice);
    beside
        + i64::from(from_nowhere) * 2_000
        + outside * lacking(followed, choice.key()).0
        + 1_000_000 * rubs(followed, choice)
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
    let mut cost = 500 * (line.abs() - part.abs()).max(0);
    if rest {
        return cost + if passes(from.0, from.1) { 2_000 } else { 0 };
    }
    if line.abs() > 2 {
        cost += 2_000 * [from, to].iter().filter(|(followed, note)| passes(followed, *note)).count() as i64;
    }
    if part == 0 {
        return cost + if line == 0 { 0 } else { 2_000 };
    }
    if line == 0 {
        cost += 500;
    } else if line * part < 0 {
        cost += 1_500;
    }
    let (first, second) = (sort(key(from.0.pitch) - key(from.1)), sort(key(to.0.pitch) - key(to.1)));
    cost + if first.is_some() && first == second { 6_000 } else { 0 }
}

/// A part as words: `D5:Bb` a note with its chord, or with several (`D5:Bb,F`); before it `|` a rest, then `!` a beat on which it
/// sounds; the key is C.
fn part(text: &str) -> Vec<Followed> {
    let note = |word: &str| {
        let (after_rest, word) = word.strip_prefix('|').map_or((false, word), |rest| (true, rest));
        let (on_beat, word) = word.strip_prefix('!').map_or((false, word), |rest| (true, rest));
        let (name, chords) = word.split_once(':').unwrap_or((word, ""));
        let chords = chords.split(',').filter(|chord| !chord.is_empty());
        Followed {
            pitch: name.parse().expect(name),
            on_beat,
            chords: chords.map(|chord| chord.parse().expect(chord)).collect(),
            key: Key::default(),
            after_rest,
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
            on_beat: false,
            chords: Vec::new(),
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
        ("thirds, to which the line leaps by one more than the part", "D5:Bb F#5:Cm", "Bb4 Eb5", 500),
        ("a leap counts across a rest too", "D5:Bb |F#5:Cm", "Bb4 Eb5", 500),
        ("a tone of the scale over a chord without it, between beats", "E5:Em", "C5", 1_000),
        ("the same on a beat, a whole step from the chord", "!F5:C", "D5", 5_000),
        ("the same over two chords without it", "!F5:C,Am7", "D5", 5_000 + 5_000),
        ("over two chords, one of which has it", "!F5:C,G", "D5", 5_000),
        ("over two chords that have it", "!D5:Bb,C/Bb", "Bb4", 0),
        ("a third that is a semitone from the root of the chord", "!G5:F", "E5", 5_000 + 1_000_000),
        ("the same between beats", "G5:F", "E5", 1_000),
        ("the same over two chords that have the root", "!G5:F,Bb", "E5", 5_000 + 5_000 + 1_000_000 + 1_000_000),
        ("a semitone from two notes of a chord rubs with it once", "!D6:C/Bb", "B5", 5_000 + 1_000_000),
        ("the seventh of the chord beside its root rubs with the part", "!C6:Cmaj7", "B5", 12_000 + 1_000_000),
        ("the same between beats", "C6:Cmaj7", "B5", 12_000),
        ("a major seventh rubs on a beat without a chord", "!B5", "C5", 8_000 + 1_000_000),
        ("a minor seventh does not", "!Bb5", "C5", 6_000),
        ("a passing note that is come to by step: second, then third", "!C5:Bb E5:Em", "Bb4 C5", 8_000 + 1_000),
        ("come to by a leap of three", "!E5:A G5:F", "C#5 E5", 1_000 + 2_000),
        ("left by one", "G5:F !E5:A", "C#5 E5", 1_000 + 2_000),
        ("come to from a rest", "!E5:A |G5:F", "C#5 E5", 1_000 + 2_000),
        ("come to from the rest before the line", "|G5:F", "E5", 1_000 + 2_000),
        ("left for a rest", "G5:F |!E5:A", "C#5 E5", 1_000 + 2_000),
        ("on a beat a leap is no dearer, but for its size", "!D5:Bb !F5:C", "Bb4 D5", 500 + 5_000),
        ("the bass after a slash is in the chord", "D5:C/Bb", "Bb4", 0),
        ("the part goes up and the line down: third, then minor sixth", "D5:Bb E5:E", "Bb4 Ab4", 1_500 + 600),
        ("after a rest it may", "D5:Bb |E5:E", "Bb4 Ab4", 600),
        ("the line stands while the part moves: third, then fourth", "E5 F5", "C5", 1_000 + 500),
        (
            "the part repeats and the line does not, by two: third, then second",
            "E5:A E5:Cm",
            "C#5 Eb5",
            12_000 + 2_000 + 1_000,
        ),
        ("fifths twice", "F5:Bb Bb5:Cm", "Bb4 Eb5", 3_000 + 3_000 + 6_000),
        ("fifths twice across a rest", "F5:Bb |Bb5:Cm", "Bb4 Eb5", 3_000 + 3_000),
        ("a fifth that is repeated is one", "F5:Bb F5:Bb", "Bb4", 3_000 + 3_000),
        ("octaves twice", "Bb5:Bb Eb6:Cm", "Bb4 Eb5", 4_000 + 4_000 + 6_000),
        ("seconds twice", "C5:Bb F5:Cm", "Bb4 Eb5", 8_000 + 8_000 + 6_000),
        ("sevenths twice", "Ab5:Bb C#6:Cm", "Bb4 Eb5", 6_000 + 6_000 + 6_000),
        ("a major and a minor seventh, by a leap of one", "A5:Bb C#6:Cm", "Bb4 Eb5", 8_000 + 6_000 + 6_000 + 500),
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
    for (text, cost) in [("D5:Bb A4:Bb F#5:Cm", 500), ("F5:Bb |A4:Bb Bb5:Cm", 6_000)] {
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
        // On a beat a note of the chord: E, the third of the scale, would rub with F.
        ("!C5:F", Side::Over, "A5"),
        ("!C5:F", Side::Under, "A4"),
    ];
    for (text, side, third) in table {
        let named: Pitch = third.parse().expect("a note");
        assert_eq!(wanted(&part(text)[0], side), named, "{text} {side:?}");
    }
}
