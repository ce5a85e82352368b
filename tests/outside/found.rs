//! What random bytes (`fuzz/run`) and other people's tunes (`import_corpus.py`) have found, each as a small file with the music
//! that it holds. How a bar is best cut into cells has no source: common practice.

use panfold::exchange::{self, lost::Lost};

use crate::kit::{ONE_LEAD, playable, read};

/// The rows of the tune that a file becomes, which must be one without mistakes.
fn rows(bytes: Vec<u8>) -> Vec<String> {
    let text = text(bytes, &mut Lost::default());
    let rows = text.lines().filter(|line| line.contains(" | "));
    rows.map(|row| row.trim().to_owned()).collect()
}

/// The text of that tune.
fn text(bytes: Vec<u8>, lost: &mut Lost) -> String {
    let music = exchange::read("found", bytes, None).expect("music");
    let imported = exchange::tune(&music.score, None, "Found", &Default::default(), lost).expect("a tune");
    let (_, findings) = read(&imported.text);
    assert!(findings.is_empty(), "{findings:?}");
    playable(ONE_LEAD, &imported.text);
    imported.text
}

/// A MIDI file of one track with these events.
fn midi(events: &[u8]) -> Vec<u8> {
    let track = [events, &[0, 0xFF, 0x2F, 0]].concat();
    let length = (track.len() as u32).to_be_bytes();
    [b"MThd\0\0\0\x06\0\0\0\x01\0\x60MTrk", &length[..], &track].concat()
}

#[test]
fn a_stroke_of_percussion_does_not_go_on_over_the_bar_line() {
    // A cowbell (General MIDI key 56) that is held for two bars, and a note of a pan.
    let file = midi(&[0, 0x99, 56, 64, 0, 0x90, 76, 64, 0x81, 0x40, 76, 0, 0x84, 0x40, 0x99, 56, 0]);
    assert_eq!(rows(file), ["channel-1 | E5 . | . |", "iron      | x    | . |"]);
}

#[test]
fn an_ornament_that_is_released_before_it_is_struck_draws_out_no_other_note() {
    // E5 (76) without length, its release before it; then E5 and G5 (79), a quarter each, E5 again.
    let ornament = [0, 0x80, 76, 0, 0, 0x90, 76, 64];
    let notes = [0, 79, 64, 0x60, 79, 0, 0, 76, 64, 0x60, 76, 0, 0, 79, 64, 0x60, 79, 0, 0, 76, 64, 0x60, 76, 0];
    assert_eq!(rows(midi(&[&ornament[..], &notes].concat())), ["channel-1 | G5 E5 G5 E5 |"]);
}

/// What is told of a MIDI file beside its rows.
fn told(bytes: Vec<u8>) -> Vec<String> {
    let mut lost = exchange::read("found", bytes.clone(), None).expect("music").lost;
    text(bytes, &mut lost);
    let messages = lost.findings("found", None).into_iter().map(|finding| finding.message);
    // None of these files gives a tempo.
    messages.filter(|message| !message.contains("no tempo is given")).collect()
}

/// Quarters of C5, D5, E5, F5 (72 to 77); the last has no release before the track ends, a quarter after it began.
#[test]
fn a_note_without_an_end_sounds_to_the_end_of_the_track() {
    let mut track: Vec<u8> = [72, 74, 76].iter().flat_map(|key| [0, 0x90, *key, 64, 0x60, 0x80, *key, 0]).collect();
    track.extend([0, 0x90, 77, 64, 0x60, 0xFF, 0x7F, 0]);
    assert_eq!(rows(midi(&track)), ["channel-1 | C5 D5 E5 F5 |"]);
    let what = "a note has no end in the file; it sounds until its pitch is struck again, or to the end of its track";
    assert_eq!(told(midi(&track)), [format!("`found`, part `channel 1`, measure 1: {what}")]);
}

#[test]
fn a_note_without_an_end_sounds_until_its_pitch_is_struck_again() {
    // C5 for a half, never released; C5 and D5, quarters that are; C5 for a bar, then C5 on another channel all the while.
    let track = [0, 0x90, 72, 64, 0x81, 0x40, 72, 64, 0x60, 72, 0, 0, 74, 64, 0x60, 74, 0];
    assert_eq!(rows(midi(&track)), ["channel-1 | C5 - C5 D5 |"]);
    let both = [&[0, 0x91, 72, 64, 0, 0x90, 72, 64, 0x83, 0][..], &[0x90, 72, 64, 0x83, 0, 0x90, 72, 0]].concat();
    assert_eq!(rows(midi(&both)), ["channel-1 | C5 | C5 |", "channel-2 | C5 | -  |"]);
}

/// Notes whose end stands on the tick of their beginning, after it and before it.
#[test]
fn a_note_without_a_length_is_a_grace_note() {
    let quarter = [0, 0x90, 76, 64, 0x60, 76, 0];
    let after = [0, 0x90, 74, 64, 0, 74, 0];
    let before = [0, 0x80, 74, 0, 0, 0x90, 74, 64];
    let track = [&after[..], &quarter, &before, &quarter, &[0x81, 0x40, 0xFF, 0x7F, 0]].concat();
    assert_eq!(rows(midi(&track)), ["channel-1 | E5 E5 . . |"]);
    assert_eq!(told(midi(&track)), ["`found`, part `channel 1`, measure 1: a grace note is left out (2 times)"]);
}

#[test]
fn strokes_of_percussion_need_no_length() {
    let strike = |wait: u8, key: u8| [wait, 0x99, key, 64, 0, key, 0];
    let track = [strike(0, 36), strike(0x60, 38), strike(0x60, 36), strike(0x60, 38)].concat();
    assert_eq!(rows(midi(&track)), ["kick  | x x     |", "snare | . x . x |"]);
    assert!(told(midi(&track)).iter().all(|what| !what.contains("left out")));
}

/// A MIDI file of one channel with these notes: ticks (96 a quarter) from the end of the one before, ticks long, key; after
/// events of its own.
fn line(events: &[u8], notes: &[(u8, u8, u8)]) -> Vec<u8> {
    let notes = notes.iter().flat_map(|(wait, length, key)| [*wait, 0x90, *key, 64, *length, 0x80, *key, 0]);
    midi(&events.iter().copied().chain(notes).collect::<Vec<u8>>())
}

/// The time signature 6/8.
const SIX_EIGHT: [u8; 8] = [0, 0xFF, 0x58, 4, 6, 3, 36, 8];

#[test]
fn cells_meet_the_beats() {
    // Two beats of three eighths; an eighth and a quarter that begin them; three quarters across them.
    let mut notes = [74, 76, 77, 74, 76, 77].map(|key| (0, 48, key)).to_vec();
    notes.extend([(0, 48, 79), (96, 96, 74), (48, 96, 76), (0, 96, 74), (0, 96, 76)]);
    let rows = rows(line(&SIX_EIGHT, &notes));
    assert_eq!(rows, ["channel-1 | D5 E5 F5 D5 E5 F5 | G5 . . D5 - . | E5 - D5 - E5 - |"]);
}

#[test]
fn a_cell_is_parted_in_few_pieces() {
    // Half a bar of 32nds, then a half note: cells as fine as they are, not one of sixteen pieces.
    let mut notes = vec![(0, 12, 76); 16];
    notes.push((0, 96, 72));
    let row = rows(line(&[], &notes)).remove(0);
    assert!(!row.contains('/'), "{row}");
    // Triplets stay within their beats.
    let notes = [(0, 32, 72), (0, 32, 74), (0, 32, 76), (0, 96, 77), (0, 48, 76), (0, 48, 74), (0, 96, 72)];
    assert_eq!(rows(line(&[], &notes)), ["channel-1 | C5/D5/E5 F5 E5/D5 C5 |"]);
}

#[test]
fn a_finger_that_is_released_early_leaves_no_rest() {
    // Eighths that are played a little early or late and let go after two thirds; then a quarter that is let go half way.
    let notes = [(3, 30, 72), (13, 33, 74), (16, 31, 76), (17, 34, 77), (13, 45, 79), (54, 40, 72)];
    assert_eq!(rows(line(&[], &notes)), ["channel-1 | C5 D5 E5 F5 G5 . C5 . |"]);
}

/// A MusicXML file of one part with these measures, in quarters of 6 divisions.
fn musicxml(measures: &[String]) -> Vec<u8> {
    let measures: String = measures.iter().map(|measure| format!("<measure>{measure}</measure>")).collect();
    let head = "<score-partwise><part-list><score-part id=\"P1\"><part-name>Lead</part-name></score-part></part-list>";
    format!("{head}<part id=\"P1\">{measures}</part></score-partwise>").into_bytes()
}

/// Measures of 3/4 of one note each, so many sixths of a quarter long.
fn measure(step: char, length: u8, line: &str) -> String {
    let attributes =
        "<attributes><divisions>6</divisions><time><beats>3</beats><beat-type>4</beat-type></time></attributes>";
    format!(
        "{line}{attributes}<note><pitch><step>{step}</step><octave>5</octave></pitch><duration>{length}</duration></note>"
    )
}

#[test]
fn a_repeat_that_ends_at_the_left_of_a_measure_ends_with_the_one_before() {
    let end = "<barline location=\"left\"><repeat direction=\"backward\"/></barline>";
    let measures = [measure('C', 18, ""), measure('D', 18, ""), measure('E', 18, end)];
    let text = text(musicxml(&measures), &mut Lost::default());
    assert!(text.contains("\nform  a x2 b\n") && text.contains("C5 | D5 |\n\nsection b\n  lead | E5 |"), "{text}");
}

#[test]
fn a_measure_of_a_length_that_no_meter_has_is_filled_up_and_told() {
    let mut lost = Lost::default();
    // Three quarters and a sixth of one: the next longer meter is 26/32.
    let text = text(musicxml(&[measure('C', 18, ""), measure('D', 19, ""), measure('E', 18, "")]), &mut lost);
    assert!(text.contains("  meter 26/32\n"), "{text}");
    let told = lost.findings("found", None).remove(0).message;
    assert_eq!(told, "`found`, measure 2: no meter has a measure of this length; silence is added at its end");
}

/// A MIDI file of one channel with these notes: from which tick to which (96 a quarter), and the key.
fn played(notes: &[(u32, u32, u8)]) -> Vec<u8> {
    let mut events: Vec<(u32, [u8; 3])> =
        notes.iter().flat_map(|(from, to, key)| [(*from, [0x90, *key, 64]), (*to, [0x80, *key, 0])]).collect();
    // Releases before strokes.
    events.sort_by_key(|(tick, bytes)| (*tick, bytes[0]));
    let mut bytes = Vec::new();
    let mut now = 0;
    for (tick, event) in events {
        let wait = tick - now;
        if wait > 127 {
            bytes.push(0x80 | (wait >> 7) as u8);
        }
        bytes.push((wait & 127) as u8);
        bytes.extend(event);
        now = tick;
    }
    midi(&bytes)
}

/// Common practice, no source: keys are let go a little early, or a little after the next is struck.
#[test]
fn a_line_that_fingers_bind_stays_one_line() {
    let keys = [72, 74, 76, 77, 79, 77, 76, 74];
    let line = |every: u32, lasts: u32| {
        let notes: Vec<(u32, u32, u8)> =
            (0u32..).zip(keys).map(|(n, key)| (n * every, n * every + lasts, key)).collect();
        rows(played(&notes))
    };
    let quarters = "channel-1 | C5 D5 E5 F5 | G5 F5 E5 D5 |";
    // Nine tenths of a quarter, nineteen twentieths, a fifth and three tenths too long; the last rings into a bar of its own.
    for lasts in [86, 91, 115, 125] {
        assert_eq!(line(96, lasts), [quarters], "{lasts} of 96");
    }
    // What is let go half way is a rest, and so is written music's.
    assert_eq!(line(96, 48), ["channel-1 | C5 . D5 . E5 . F5 . | G5 . F5 . E5 . D5 . |"]);
    // A note that sounds on under three others is another voice.
    let held = [(0, 380, 72), (96, 190, 76), (192, 286, 77), (288, 382, 79)];
    assert_eq!(rows(played(&held)), ["channel-1   | C5         |", "channel-1-2 | . E5 F5 G5 |"]);
}

/// A measure of 4/4 with a mark and notes: step, whether it is tied from before and on, over the whole measure.
fn marked(mark: &str, step: char, tied: (bool, bool)) -> String {
    let tie = |is: bool, kind: &str| if is { format!("<tie type=\"{kind}\"/>") } else { String::new() };
    let (stop, start) = (tie(tied.0, "stop"), tie(tied.1, "start"));
    format!(
        "<direction><direction-type><rehearsal>{mark}</rehearsal></direction-type></direction>\
         <note><pitch><step>{step}</step><octave>5</octave></pitch><duration>4</duration>{stop}{start}</note>"
    )
}

#[test]
fn sections_that_stand_twice_are_one_and_keep_their_ties() {
    // E is held from the first measure into A, and the second time on into C.
    let measures = [
        marked("in", 'E', (false, true)),
        marked("A", 'E', (true, false)),
        marked("B", 'G', (false, false)),
        marked("in", 'E', (false, true)),
        marked("A", 'E', (true, true)),
        marked("C", 'E', (true, false)),
    ];
    let text = text(musicxml(&measures), &mut Lost::default());
    assert!(text.contains("\nform  in a b in a c\n"), "{text}");
    for section in ["section in\n  lead | E5 |", "section a\n  lead | - |", "section c\n  lead | - |"] {
        assert!(text.contains(section), "{section} in {text}");
    }
}

/// *MusicXML 4.0*: `swing-type` says which notes are swung, eighths if it is left out.
#[test]
fn a_swing_is_taken_when_it_is_that_of_the_beat() {
    let swing = |kind: &str| {
        let sound = format!("<sound><swing><first>2</first><second>1</second>{kind}</swing></sound>");
        let mut lost = Lost::default();
        let note = "<note><pitch><step>C</step><octave>5</octave></pitch><duration>4</duration></note>";
        let music = exchange::read("swing", musicxml(&[format!("{sound}{note}")]), None).expect("music");
        lost.clone_from(&music.lost);
        (music.score.swing, lost.findings("swing", None).len())
    };
    assert_eq!(swing(""), (Some((2, 1)), 0));
    assert_eq!(swing("<swing-type>eighth</swing-type>"), (Some((2, 1)), 0));
    assert_eq!(swing("<swing-type>16th</swing-type>"), (None, 1));
}
