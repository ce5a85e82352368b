//! Scores as other programs write them: rests that overfill their bars, chords beyond the known ones, rounded tuplets, jumps in words.
//! What each must become follows from *MusicXML 4.0* (W3C Music Notation Community Group) where a comment says so; else it is common
//! practice, no source.

use panfold::exchange::{self, lost::Lost, quantise::Grid};
use panfold::text::{Severity, Source};
use panfold::{notation, tune};

use crate::band::plain_band;

/// What a score becomes: the text of the tune, and what is told of it.
struct Became {
    text: String,
    told: Vec<String>,
}

impl Became {
    fn rows(&self) -> Vec<&str> {
        self.text.lines().filter(|line| line.contains(" | ")).map(str::trim).collect()
    }

    fn line(&self, word: &str) -> Option<&str> {
        self.text.lines().find(|line| line.starts_with(word))
    }

    fn is_told(&self, what: &str) -> bool {
        self.told.iter().any(|told| told.contains(what))
    }
}

fn became(bytes: Vec<u8>) -> Became {
    became_on(bytes, None)
}

/// As [`became`], with all times moved onto a grid.
fn became_on(bytes: Vec<u8>, grid: Option<&str>) -> Became {
    let grid: Option<Grid> = grid.map(|grid| grid.parse().expect("a grid"));
    let mut music = exchange::read("score", bytes, grid.as_ref()).expect("music");
    became_of(&music.score, &mut music.lost)
}

/// As [`became`], with rows of a few notes as parts of their own.
fn became_keeping_all(bytes: Vec<u8>) -> Became {
    let mut music = exchange::read("score", bytes, None).expect("music");
    let mut options = exchange::Options::default();
    options.keep_all = true;
    became_with(&music.score, &options, &mut music.lost)
}

fn became_of(score: &exchange::Score, lost: &mut Lost) -> Became {
    became_with(score, &Default::default(), lost)
}

fn became_with(score: &exchange::Score, options: &exchange::Options, lost: &mut Lost) -> Became {
    let imported = exchange::tune(score, None, "Score", options, lost).expect("a tune");
    let source = Source::new("score.tune", imported.text.clone());
    let (tree, findings) = notation::parse(&source);
    assert!(findings.is_empty(), "{findings:?}");
    let (_, findings) = tune::resolve(&tree, &std::sync::Arc::new(plain_band()));
    assert!(findings.iter().all(|finding| finding.severity < Severity::Error), "{findings:?}\n{}", imported.text);
    let told = lost.findings("score", None).into_iter().map(|finding| finding.message).collect();
    Became { text: imported.text, told }
}

/// A score of parts, each with its name and the contents of its measures.
fn score(parts: &[(&str, &[&str])]) -> Vec<u8> {
    let named = parts.iter().enumerate();
    let list: String = named
        .clone()
        .map(|(n, (name, _))| format!("<score-part id=\"P{n}\"><part-name>{name}</part-name></score-part>"))
        .collect();
    let bodies: String = named
        .map(|(n, (_, measures))| {
            let measures: String = measures
                .iter()
                .enumerate()
                .map(|(number, text)| format!("<measure number=\"{}\">{text}</measure>", number + 1))
                .collect();
            format!("<part id=\"P{n}\">{measures}</part>")
        })
        .collect();
    format!("<score-partwise version=\"4.0\"><part-list>{list}</part-list>{bodies}</score-partwise>").into_bytes()
}

fn attributes(divisions: u32, beats: u32) -> String {
    format!(
        "<attributes><divisions>{divisions}</divisions><time><beats>{beats}</beats><beat-type>4</beat-type></time></attributes>"
    )
}

fn note(step: char, octave: u8, duration: u32) -> String {
    format!("<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{duration}</duration></note>")
}

const REST: &str = "<note><rest/><duration>4</duration></note>";

#[test]
fn rests_are_cut_to_the_meter_and_notes_never_are() {
    let whole = note('C', 5, 4);
    let (first, rests) = (attributes(1, 4) + &whole, attributes(1, 4) + REST + REST);
    let both = [REST, REST].concat();
    let became = became(score(&[("Lead", &[&first, &whole, &whole]), ("Bass", &[&rests, &both, &whole])]));
    assert_eq!(became.line("meter"), Some("meter   4/4"));
    assert_eq!(became.rows(), ["lead | C5 | C5 | C5 |", "bass | .  | .  | C5 |"]);
    assert!(
        became.is_told("part `Bass`, measures 1 and 2: rests that are too long for the meter are cut"),
        "{:?}",
        became.told
    );
    // A note that is too long is all there.
    let long = attributes(1, 4) + &note('C', 5, 6);
    let became = self::became(score(&[("Lead", &[&long])]));
    assert_eq!(became.line("meter"), Some("meter   6/4"));
}

/// A degree of a chord symbol: value, alteration, and what is done with it.
type Degree<'a> = (u8, i8, &'a str);

fn harmony(kind: &str, degrees: &[Degree]) -> String {
    let degrees: String = degrees
        .iter()
        .map(|(value, alter, how)| {
            format!(
                "<degree><degree-value>{value}</degree-value><degree-alter>{alter}</degree-alter>\
                 <degree-type>{how}</degree-type></degree>"
            )
        })
        .collect();
    format!("<harmony><root><root-step>F</root-step></root><kind text=\"odd\">{kind}</kind>{degrees}</harmony>")
}

#[test]
fn a_chord_that_is_not_known_becomes_the_nearest_within_it() {
    let table: [(&str, &[Degree], &str, bool); 10] = [
        ("major", &[(2, 0, "add")], "Fadd2", false),
        ("major-11th", &[], "Fmaj11", false),
        ("major-13th", &[], "Fmaj13", false),
        ("minor-13th", &[], "Fm13", false),
        ("major", &[(5, 0, "subtract")], "Fomit5", false),
        // An added seventh is that of a dominant chord; altered by one it is major (MusicXML 4.0, `degree-alter`).
        ("major", &[(4, 0, "add")], "F", true),
        ("major-ninth", &[(11, 1, "add")], "Fmaj9", true),
        ("dominant", &[(5, 1, "alter"), (9, 1, "add")], "F7#5", true),
        ("minor", &[(7, 1, "add")], "Fm(maj7)", true),
        ("Tristan", &[], "N.C.", true),
    ];
    for (kind, degrees, chord, is_told) in table {
        let whole = note('C', 5, 4);
        let first =
            attributes(1, 4) + "<harmony><root><root-step>G</root-step></root><kind>dominant</kind></harmony>" + &whole;
        let second = harmony(kind, degrees) + &whole;
        let became = became(score(&[("Lead", &[&first, &second])]));
        let chords = became.rows()[0].replace("chords", "").replace(['|', ' '], "");
        assert_eq!(chords, format!("G7{chord}"), "{kind} {degrees:?}");
        assert_eq!(
            became.is_told("chords like `Codd` are not known"),
            is_told,
            "{kind} {degrees:?}: {:?}",
            became.told
        );
    }
}

/// A note of a tuplet of three in the time of two.
fn third(step: char, duration: u32) -> String {
    let modification = "<type>16th</type><time-modification><actual-notes>3</actual-notes><normal-notes>2</normal-notes></time-modification></note>";
    note(step, 5, duration).replace("</note>", modification)
}

/// A file of 256 divisions a quarter can't say a sixth of one: it counts 42, 43 and 43.
#[test]
fn rounded_tuplets_are_what_their_time_modification_says() {
    for thirds in [[42, 43, 43], [43, 43, 43], [42, 42, 42]] {
        let [a, b, c] = thirds;
        let group = [third('C', a), third('D', b), third('E', c)].concat();
        let measure = attributes(256, 2) + &group + &note('F', 5, 128) + &note('G', 5, 256);
        let became = became(score(&[("Lead", &[&measure])]));
        assert_eq!(became.rows(), ["lead | C5/D5/E5 F5 G5 - |"], "{thirds:?}");
        // A second voice that goes back to the start, and to the middle, finds its place.
        let whole = a + b + c + 384;
        let second = format!(
            "<backup><duration>{whole}</duration></backup>{}",
            note('C', 4, 512).replace("</note>", "<voice>2</voice></note>")
        );
        let became = self::became(score(&[("Lead", &[&(measure.clone() + &second)])]));
        assert!(became.text.contains("| C4 "), "{}", became.text);
    }
}

#[test]
fn words_that_ask_to_go_back_are_followed_where_they_are_clear() {
    let words = |text: &str| format!("<direction><direction-type><words>{text}</words></direction-type></direction>");
    let played = |text: &str| {
        let (first, second) = (attributes(1, 4) + &note('C', 5, 4), note('D', 5, 4) + &words(text));
        became(score(&[("Lead", &[&first, &second])]))
    };
    for text in ["D.C.", "Da Capo", "M.D.C.", "D. C. al Fine", "Menuetto da capo", "Minuet D.C.", "dacapo"] {
        let became = played(text);
        assert_eq!(became.line("form"), Some("form  all x2"), "{text}: {}", became.text);
    }
    for text in ["dolce", "decresc.", "ad libitum"] {
        let became = played(text);
        assert_eq!(became.line("form"), Some("form  all"), "{text}");
        assert!(!became.is_told("may ask to go back"), "{text}");
    }
    // Syllables that were read as letters by mistake are no abbreviation.
    let letters = played("gli DC");
    assert_eq!(letters.line("form"), Some("form  all"));
    assert!(letters.is_told("may ask to go back"), "{:?}", letters.told);
    let unclear = played("after the da capo a bit slower");
    assert_eq!(unclear.line("form"), Some("form  all"));
    assert!(unclear.is_told("may ask to go back"), "{:?}", unclear.told);
}

#[test]
fn music_without_a_tempo_has_120_quarters_a_minute() {
    let plain = attributes(1, 4) + &note('C', 5, 4);
    let became = became(score(&[("Lead", &[&plain])]));
    assert_eq!(became.line("tempo"), Some("tempo   120"));
    assert!(became.is_told("no tempo is given; 120 quarter notes a minute"), "{:?}", became.told);
    // Dotted quarters are the beat of 6/8: 80 of them.
    let six = "<attributes><divisions>2</divisions><time><beats>6</beats><beat-type>8</beat-type></time></attributes>"
        .to_owned()
        + &note('C', 5, 6);
    assert_eq!(self::became(score(&[("Lead", &[&six])])).line("tempo"), Some("tempo   80"));
    let given = "<sound tempo=\"90\"/>".to_owned() + &plain;
    assert!(!self::became(score(&[("Lead", &[&given])])).is_told("no tempo is given"));
}

#[test]
fn words_of_every_staff_come_once_and_signs_of_force_are_accents() {
    let words = "<direction><direction-type><words>gently</words></direction-type></direction>";
    let force =
        |sign: &str| format!("<direction><direction-type><dynamics><{sign}/></dynamics></direction-type></direction>");
    let first = attributes(1, 4) + words + &note('C', 5, 2) + &force("sfz") + &note('D', 5, 2);
    let second = attributes(1, 4) + words + &note('E', 4, 4);
    let became = became(score(&[("Lead", &[&first]), ("Alto", &[&second])]));
    assert_eq!(became.text.matches("gently").count(), 1, "{}", became.text);
    assert!(became.text.contains("| C5 D5> |"), "{}", became.text);
    for sign in ["sf", "fz", "rfz", "sfp"] {
        let bar = attributes(1, 4) + &force(sign) + &note('C', 5, 4);
        let became = self::became(score(&[("Lead", &[&bar])]));
        assert!(became.text.contains("C5>"), "{sign}: {}", became.text);
    }
}

/// The staff says `Cowbell`; General MIDI's key 56, with which the iron is written, does not make an iron of it.
#[test]
fn a_staff_called_cowbell_is_one() {
    let part = "<score-part id=\"P0\"><part-name>Cowbell</part-name><score-instrument id=\"I\"><instrument-name>Cowbell</instrument-name>\
                </score-instrument><midi-instrument id=\"I\"><midi-channel>10</midi-channel><midi-unpitched>57</midi-unpitched>\
                </midi-instrument></score-part>";
    let bar = attributes(1, 4) + "<note><unpitched/><duration>4</duration><instrument id=\"I\"/></note>";
    let file = format!(
        "<score-partwise version=\"4.0\"><part-list>{part}</part-list><part id=\"P0\"><measure number=\"1\">{bar}</measure></part></score-partwise>"
    );
    let became = became(file.into_bytes());
    assert!(became.line("part").is_some_and(|line| line.contains("on cowbell")), "{}", became.text);
}

#[test]
fn one_finding_says_all_places_of_a_kind() {
    let grace = "<note><grace/><pitch><step>C</step><octave>5</octave></pitch></note>";
    let first = attributes(1, 4) + grace + &note('C', 5, 4);
    let became = became(score(&[("Lead", &[&first]), ("Alto", &[&first])]));
    let told: Vec<_> = became.told.iter().filter(|told| told.contains("grace note")).collect();
    assert_eq!(told, ["`score`, parts `Lead` (measure 1) and `Alto` (measure 1): a grace note is left out (2 times)"]);
}

/// A wheel that is put to its middle before the first note (MIDI 1.0: 8192, the bytes 0 and 64).
#[test]
fn a_centred_pitch_wheel_is_no_bend() {
    let file = |wheel: [u8; 2]| {
        let events = [&[0, 0xE0, wheel[0], wheel[1], 0, 0x90, 76, 64, 0x60, 76, 0, 0, 0xFF, 0x2F, 0][..]].concat();
        [b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk", &(events.len() as u32).to_be_bytes()[..], &events].concat()
    };
    assert!(!became(file([0, 64])).is_told("pitch bend"));
    assert!(became(file([0, 65])).is_told("pitch bend"));
}

/// A score whose notes are a little off: 480 divisions a quarter, as a sequencer's export of what was played.
#[test]
fn notes_are_moved_onto_the_grid_that_is_asked_for_and_it_is_told() {
    let rest = |duration: u32| format!("<note><rest/><duration>{duration}</duration></note>");
    let first = attributes(480, 4)
        + &note('C', 5, 470)
        + &rest(25)
        + &note('D', 5, 455)
        + &note('E', 5, 490)
        + &note('F', 5, 480);
    let second = note('G', 5, 960) + &note('A', 5, 960);
    let bytes = score(&[("Lead", &[&first, &second])]);
    let exact = became(bytes.clone());
    assert!(!exact.is_told("grid"), "{:?}", exact.told);
    assert_ne!(exact.rows(), ["lead | C5 D5 E5 F5 | G5 - A5 - |"], "without a grid what is written stays exact");
    let eighths = became_on(bytes.clone(), Some("8"));
    assert_eq!(eighths.rows(), ["lead | C5 D5 E5 F5 | G5 A5 |"], "{:?}", eighths.told);
    // D5 is 15 divisions late, E5 10 early; C5 and D5 end 10 early.
    assert!(
        eighths.is_told("part `Lead`, measure 1: a note begins elsewhere on the grid 8, at most 0.031 of a quarter note away (2 times)"),
        "{:?}",
        eighths.told
    );
    assert!(
        eighths.is_told("part `Lead`, measure 1: a note ends elsewhere on the grid 8, at most 0.021 of a quarter note away (2 times)"),
        "{:?}",
        eighths.told
    );
    // A score that lies on the grid is what it was, and nothing is told.
    let plain = score(&[("Lead", &[&(attributes(2, 4) + &note('C', 5, 3) + &note('D', 5, 1) + &note('E', 5, 4))])]);
    let on = became_on(plain.clone(), Some("16"));
    assert_eq!((on.rows(), on.is_told("grid")), (became(plain).rows(), false));
}

/// Thirds of a beat have no place among sixteenths, and have one among 12ths.
#[test]
fn a_grid_of_twelve_keeps_triplets_and_one_of_sixteen_moves_them() {
    let triplet = |step| note(step, 5, 4);
    let bar = attributes(12, 2) + &triplet('C') + &triplet('D') + &triplet('E') + &note('F', 5, 12);
    let bytes = score(&[("Lead", &[&bar])]);
    for grid in ["12", "16,12"] {
        let became = became_on(bytes.clone(), Some(grid));
        assert_eq!(became.rows(), self::became(bytes.clone()).rows(), "{grid}");
        assert!(!became.is_told("grid"), "{grid}: {:?}", became.told);
    }
    let became = became_on(bytes, Some("16"));
    assert_eq!(became.rows(), ["lead | C5 D5 - E5 F5 - - - |"]);
    assert!(became.is_told("begins elsewhere on the grid 16"), "{:?}", became.told);
}

/// What falls together is told as something that is heard, and what begins in a measure stays there: after the first measure here
/// the repeat goes back.
#[test]
fn what_the_grid_brings_together_is_told_and_bar_lines_are_kept() {
    let repeat = "<barline><repeat direction=\"backward\"/></barline>";
    let first = attributes(8, 2)
        + &note('C', 5, 1)
        + &note('C', 5, 1)
        + &note('D', 5, 6)
        + &note('E', 5, 7)
        + &note('F', 5, 1)
        + repeat;
    let chords = harmony("major", &[]) + &note('G', 5, 1) + &harmony("minor", &[]) + &note('A', 5, 15);
    let became = became_on(score(&[("Lead", &[&first, &chords])]), Some("4"));
    assert_eq!(became.line("form"), Some("form  start x2 a"), "{}", became.text);
    assert_eq!(became.rows(), ["lead | C5+D5 E5+F5 |", "chords | Fm    |", "lead   | G5+A5 |"], "{}", became.text);
    assert!(
        became.is_told("a note falls on the same note before it on the grid 4, and is left out"),
        "{:?}",
        became.told
    );
    assert!(became.is_told("notes that follow each other fall together on the grid 4"), "{:?}", became.told);
    assert!(
        became.is_told("two chords fall together on the grid 4; the second of them is written"),
        "{:?}",
        became.told
    );
}

/// A tied note is one note: its place and its end move, not the bar line's.
#[test]
fn ties_over_the_bar_line_are_moved_as_one_note() {
    let tie = |kind: &str| format!("<tie type=\"{kind}\"/></note>");
    let tied = |text: String, kind: &str| text.replace("</note>", &tie(kind));
    let first = attributes(16, 2) + &note('C', 5, 17) + &tied(note('D', 5, 15), "start");
    let second = tied(note('D', 5, 15), "stop") + &note('E', 5, 17);
    let became = became_on(score(&[("Lead", &[&first, &second])]), Some("16"));
    assert_eq!(became.rows(), ["lead | C5 D5 | - E5 |"], "{}", became.text);
}

/// Whatever the lengths of its notes: on a grid every stroke of a score begins at a place of it, counted from its bar line, and every
/// note is there or told to be left out.
#[test]
fn on_a_grid_every_note_has_a_place_and_none_is_lost_in_silence() {
    // The generator of Park and Miller, "Random number generators: good ones are hard to find", CACM 31 (1988).
    let mut state: u64 = 11;
    let mut below = |limit: u64| {
        state = state * 16_807 % 2_147_483_647;
        state % limit
    };
    for _ in 0..60 {
        let (mut measures, mut written) = (Vec::new(), 0);
        for number in 0..3 {
            let mut text = if number == 0 { attributes(24, 4) } else { String::new() };
            let mut left = 96;
            while left > 0 {
                let length = (1 + below(17) as u32).min(left);
                let step = ['C', 'D', 'E', 'F'][below(4) as usize];
                text += &note(step, 5, length);
                (left, written) = (left - length, written + 1);
            }
            measures.push(text);
        }
        let measures: Vec<&str> = measures.iter().map(String::as_str).collect();
        let bytes = score(&[("Lead", &measures)]);
        for pieces in [4, 6, 8, 12, 16] {
            let grid: Grid = pieces.to_string().parse().expect("a grid");
            let music = exchange::read("score", bytes.clone(), Some(&grid)).expect("music");
            let notes = music.score.parts.iter().flat_map(|part| &part.notes);
            for note in notes.filter(|note| !note.tied) {
                assert!((note.start.ratio() * pieces / 4).is_integer(), "{note:?} on {pieces}");
            }
            let there: usize = music.score.parts.iter().map(|part| part.pitches().count()).sum();
            let told = music.lost.findings("score", None).into_iter().map(|finding| finding.message);
            let left_out: usize = told
                .filter(|told| told.contains("and is left out"))
                .map(|told| {
                    told.rsplit_once(" (")
                        .map_or(1, |(_, times)| times.trim_end_matches(" times)").parse().unwrap_or(1))
                })
                .sum();
            assert_eq!(there + left_out, written, "{pieces}");
        }
    }
}

#[test]
fn a_sign_at_the_first_note_of_a_chord_is_for_all_its_notes() {
    // *MusicXML 4.0* writes the articulations of a chord at its first note. The third note goes to a row of its own.
    let short = "<notations><articulations><staccato/></articulations></notations></note>";
    let chord = |step: char| note(step, 5, 1).replace("<note>", "<note><chord/>");
    let bar =
        attributes(1, 4) + &note('C', 5, 1).replace("</note>", short) + &chord('E') + &chord('G') + &note('C', 5, 3);
    let became = became_keeping_all(score(&[("Lead", &[&bar])]));
    assert_eq!(became.rows().len(), 2, "{}", became.text);
    assert!(became.rows().iter().all(|row| row.contains('\'')), "{}", became.text);
}
