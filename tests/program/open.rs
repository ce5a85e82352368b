//! What a tune may leave open: octaves, degrees, strums, harmony lines, patterns of the library.

use std::fs;

use super::{run, says, small_with};

const BAND: &str = "name = \"Test band\"\n\n[[pan]]\nname = \"Lead\"\nlayout = \"lead-c\"\n\n[[pan]]\nname = \"Seconds\"\nlayout = \
                    \"double-second\"\n\n[[pan]]\nname = \"Guitars\"\nlayout = \"double-guitar\"\n\n[[pan]]\nname = \"More seconds\"\nlayout = \"double-second\"\n\n[[pan]]\nname = \"Six\"\nlayout = \
                    \"six-bass\"\n\n[fit]\nhome = 0.02\n";

const TUNE: &str = "title Open\nband all.toml\nkey G\nroll none\npart lead on lead\npart tenor on double-second\npart second on \
                    double-second\npart guitar on double-guitar\npart bass on six-bass\n\npattern off | . x . x . x . x |\n\n\
                    section verse\n  chords | G         | C         | D7        | G         |  # as sung\n  lead   | B D G . | \
                    E5 . C5 . | A5 . F#5 . | G5 - - . |\n  tenor  = under lead\n  second = strum off\n  guitar = strum \
                    calypso-push\n  bass   | 1 . 5 .   | %         | %         | 1 . 8 .   |\n";

fn folder() -> tempfile::TempDir {
    small_with(&[("all.toml", BAND), ("open.tune", TUNE)])
}

#[test]
fn what_was_chosen_is_explained() {
    let done = run(folder(), "check open.tune --explain");
    assert_eq!(done.code, Some(0), "{}{}", done.out, done.err);
    insta::assert_snapshot!(done.out, @r#"
    Open on Test band: no problems found in 5 parts

    What was chosen:

    section `verse`
      `lead`, open octaves: B4 D5 G5 | E5 C5 | A5 F#5 | G5
      `tenor`, under `lead`: G4 B4 D5 | C5 G4 | C5 D5 | D5
      `bass`, open octaves: G2 D2 | C2 G2 | D2 A2 | G2 G2
      `second` strums: G B3+G4, C C4+G4, D7 C4+A4, G B3+G4
      `guitar` strums: G G3+D4, C G3+E4, D7 F#3+D4, G G3+D4
      together they cover every chord note; this is the best voicing
    "#);
    let json = run(folder(), "check open.tune --explain --json");
    let value = json.json();
    let chosen = &value["tunes"][0]["chosen"];
    assert_eq!(chosen["rows"].as_array().map(Vec::len), Some(3));
    assert_eq!(chosen["strums"][0]["cost"], chosen["strums"][0]["bound"]);
    let nothing = run(folder(), "check jam.tune --explain");
    assert!(nothing.out.ends_with("Every note is written with its octave: nothing was chosen.\n"), "{}", nothing.out);
}

#[test]
fn octaves_are_written_in_and_everything_else_stays() {
    let folder = folder();
    let done = run(&folder, "fit open.tune --write");
    assert_eq!(done.code, Some(0), "{}", done.err);
    let text = fs::read_to_string(folder.path().join("open.tune")).expect("the tune");
    // A `%` under another chord keeps its degrees: they are other notes there.
    let changed: Vec<(&str, &str)> = TUNE.lines().zip(text.lines()).filter(|(old, new)| old != new).collect();
    insta::assert_debug_snapshot!(changed, @r#"
    [
        (
            "  lead   | B D G . | E5 . C5 . | A5 . F#5 . | G5 - - . |",
            "  lead   | B4 D5 G5 . | E5 . C5 . | A5 . F#5 . | G5 - - . |",
        ),
        (
            "  bass   | 1 . 5 .   | %         | %         | 1 . 8 .   |",
            "  bass   | 1 . 5 .   | %         | %         | G2 . G2 .   |",
        ),
    ]
    "#);
    let again = run(&folder, "fit open.tune --write");
    assert_eq!(again.code, Some(0));
    assert_eq!(fs::read_to_string(folder.path().join("open.tune")).expect("the tune"), text);
}

#[test]
fn the_same_in_another_key() {
    let folder = folder();
    let done = run(&folder, "fit open.tune --key F --write");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert_eq!(run(&folder, "check open.tune").code, Some(0));
    let text = fs::read_to_string(folder.path().join("open.tune")).expect("the tune");
    assert!(text.contains("chords | F         | Bb        | C7        | F "), "{text}");
    assert!(text.contains("second = strum off") && text.contains("# as sung"), "{text}");
}

#[test]
fn every_key_with_its_reasons() {
    let done = run(folder(), "fit open.tune --key any");
    assert_eq!(done.code, Some(0), "{}", done.err);
    insta::assert_snapshot!(done.out, @r"
    key  semitones  missing  moved  cost  costliest part
    G           +0        0      0     0  -
    Gb          -1        0      0     3  -
    Ab          +1        0      0     3  -
    F           -2        0      0     6  -
    A           +2        0      0     6  -
    E           -3        0      0     9  -
    Bb          +3        0      0     9  -
    Eb          -4        0      0    12  -
    B           +4        0      0    12  -
    D           -5        0      0    15  -
    C           +5        0      0    15  -
    Db          -6        0      0    18  -
    Db          +6        0      0    18  -

    G (as written): nothing moves
    Gb (1 semitone down): nothing moves
    Ab (1 semitone up): nothing moves

    lead: 3 octaves found
    tenor: nothing moves
    second: nothing moves
    guitar: nothing moves
    bass: 8 octaves found

    bar 1 of verse, lead
      was  | B D G . |
      now  | B4 D5 G5 . |

    bar 4 of verse, bass
      was  | 1 . 8 . |
      now  | G2 . G2 . |
    ");
}

#[test]
fn other_hands_are_named() {
    let folder = folder();
    let tune = "band all.toml\nroll none\npart lead on lead\npart bass on six-bass\nsection a\n  lead | G5 A5 | C6 D6 |\n  bass | \
                G2 . | E3 F3 |\n";
    let band = BAND.replace("layout = \"six-bass\"", "kind = \"six-bass\"\ndrums = [{ outer = \"G2 A2 C3 D3\" }]");
    fs::write(folder.path().join("all.toml"), band).expect("a file");
    fs::write(folder.path().join("hands.tune"), tune).expect("a file");
    let done = run(&folder, "fit hands.tune");
    assert_eq!(done.code, Some(1), "{}", done.err);
    insta::assert_snapshot!(done.out, @r"
    lead: nothing moves
    bass: 2 strokes can't be played in any octave, since there is no E or F (the first in bar 2 of `a`)
      Guitars could take it, with 1 note in another octave
      Seconds could take it, with 3 notes in other octaves
      More seconds could take it, with 3 notes in other octaves
      Lead could take it, with 3 notes in other octaves
    `lead` and `bass` could change pans
    ");
}

#[test]
fn a_band_may_set_what_changes_cost() {
    let folder = folder();
    let tune = "band all.toml\nroll none\npart lead on lead\nsection a\n  lead | D6 E6 F6 |\n";
    fs::write(folder.path().join("up.tune"), tune).expect("a file");
    let moved = |costs: &str| {
        fs::write(folder.path().join("all.toml"), BAND.replace("home = 0.02", costs)).expect("a file");
        let done = run(&folder, "fit up.tune");
        assert_eq!(done.code, Some(0), "{}", done.err);
        done.out.lines().next().unwrap_or("").to_owned()
    };
    assert_eq!(moved("break = 6"), "lead: 3 notes go down an octave");
    let torn = "lead: 1 note goes down an octave and the line changes octave once inside a phrase";
    assert_eq!(moved("break = 0.5\nturn = 0"), torn);
    fs::write(folder.path().join("all.toml"), BAND.replace("home = 0.02", "brake = 6")).expect("a file");
    let done = run(&folder, "fit up.tune");
    assert!(done.code == Some(2) && says(&done.err, "choose from the settings here: `move`, `break`"), "{}", done.err);
}

#[test]
fn patterns_are_listed_printed_and_heard() {
    let folder = folder();
    let list = run(&folder, "patterns");
    assert_eq!(list.code, Some(0));
    assert!(
        list.out.starts_with("Calypso, 4/4, about 108; also 2/4, about 108; 2/2, about 108\n  calypso-strum "),
        "{}",
        list.out
    );
    insta::assert_snapshot!(run(&folder, "patterns reggae").out, @r"
    pattern reggae-strum | . . x' . . . x' . |  # strum: short, on two and four; common practice, no source
    pattern reggae-double | . . . . x' . x' . . . . . x' . x' . |  # strum: two short strokes on two and four; common practice, no source
    pattern reggae-bass | 1 - - 3 5 - 3 - |  # bass: up to the fifth and back by the third; common practice, no source
    pattern reggae-late | . . 1 1 5 - 3 - |  # bass: leaves the first beat empty; common practice, no source
    pattern reggae-iron | x . x . |  # iron: one and three; own setting
    pattern reggae-shaker | x o x o x o x o |  # shaker: eighths; own setting
    pattern reggae-kick | . . x . |  # kick: the third beat alone; common practice, no source
    pattern reggae-side | . . s . |  # snare: side stick on the third beat; common practice, no source
    pattern reggae-hat | x x x x x x x x |  # hi-hat: eighths; common practice, no source
    ");
    let wrong = run(&folder, "patterns calypso-strumm");
    assert!(wrong.code == Some(2) && says(&wrong.err, "did you mean `calypso-strum`?"), "{}", wrong.err);
    let done = run(&folder, "patterns soca-snare --sound loop.wav");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(folder.path().join("loop.wav").metadata().expect("a file").len() > 1_000_000);
    let json = run(&folder, "patterns waltz --json").json();
    assert_eq!(json["patterns"][1]["bars"], 2);
    // What is printed can be pasted: a tune's own pattern of the same name is taken instead.
    let text = run(&folder, "patterns calypso-strum").out;
    let tune = TUNE.replace("pattern off |", &format!("{text}pattern off |"));
    fs::write(folder.path().join("pasted.tune"), tune).expect("a file");
    assert_eq!(run(&folder, "check pasted.tune").code, Some(0));
}

#[test]
fn patterns_are_there_for_several_meters() {
    let folder = folder();
    insta::assert_snapshot!(run(&folder, "patterns --meter 9/8").out, @r#"
    Waltz, 9/8, about 120
      waltz-strum   strum   two and three
      waltz-bass    bass    root and fifth by bars
      waltz-iron    iron    the first beat alone, then long and short
      waltz-shaker  shaker  eighths
      waltz-kick    kick    one

    Slip jig, 9/8, about 112
      jig-strum     strum   the third eighth of each beat
      jig-double    strum   the second and third eighth of each beat
      jig-bass      bass    root and fifth on the beats
      jig-iron      iron    long and short
      jig-shaker    shaker  eighths
      jig-kick      kick    every beat

    Hymn, 9/8, about 60
      hymn-strum    strum   one, and three
      hymn-bass     bass    root, and the fifth on three
      hymn-iron     iron    the first beat alone
      hymn-shaker   shaker  eighths

    `panfold patterns NAME` prints one to copy; a tune plays it with `= strum NAME` or `= play NAME`, in its own meter.
    "#);
    let printed = run(&folder, "patterns march-strum march-iron --meter 6/8");
    insta::assert_snapshot!(printed.out, @r#"
    pattern march-strum | . . x . . x |  # strum: the third eighth of each beat; common practice, no source
    pattern march-iron | x . x x . x |  # iron: long and short; common practice, no source
    "#);
    assert_eq!(printed.err, "");
    let usual = run(&folder, "patterns march-strum");
    assert!(usual.out.starts_with("pattern march-strum | . x . x |"), "{}", usual.out);
    assert_eq!(usual.err, "march is there for 2/4, 2/2, and 6/8 too: `--meter 2/4` prints that\n");
    let json = run(&folder, "patterns march-strum --json").json();
    let meters: Vec<_> =
        json["patterns"].as_array().expect("patterns").iter().map(|one| one["meter"].clone()).collect();
    assert_eq!(meters, ["4/4", "2/4", "2/2", "6/8"]);
    assert_eq!(run(&folder, "patterns march-bass --meter 6/8 --sound loop.wav").code, Some(0));
    for (arguments, told) in [
        ("patterns reggae-strum --meter 6/8", "`reggae-strum` is there for 4/4, not for 6/8"),
        ("patterns --meter 5/4", "the library has no patterns for 5/4"),
        ("patterns --meter six", "a meter is like 4/4 or 6/8"),
    ] {
        let done = run(&folder, arguments);
        assert!(done.code == Some(2) && says(&done.err, told), "{arguments}: {}", done.err);
    }
}

/// One name in three meters: each section gets the strokes that are cut for it, and nothing is asked.
#[test]
fn a_tune_in_any_of_the_meters_asks_for_a_pattern_by_its_name() {
    let band = "name = \"Two\"\n[[pan]]\nname = \"Seconds\"\nlayout = \"double-second\"\n[[pan]]\nname = \"Six\"\nlayout = \"six-bass\"\n";
    let tune = "title March\nband two.toml\nkey G\npart second on double-second\npart bass on six-bass\nform two six four\n\n\
                section two\n  meter 2/4\n  chords | G | D7 |\n  second = strum march-strum\n  bass = play march-bass\n\
                section six\n  meter 6/8\n  chords | G | D7 |\n  second = strum march-strum\n  bass = play march-bass\n\
                section four\n  chords | G | D7 |\n  second = strum march-strum\n  bass = play march-bass\n";
    let folder = small_with(&[("two.toml", band), ("march.tune", tune)]);
    let done = run(&folder, "check march.tune");
    assert!(done.code == Some(0) && says(&done.out, "no problems found"), "{}{}", done.out, done.err);
    let json = run(&folder, "render march.tune --json").json();
    let at = |voice: u64| -> Vec<&str> {
        let strokes = json["strokes"].as_array().expect("strokes").iter().filter(|stroke| stroke["voice"] == voice);
        let mut at: Vec<&str> = strokes.filter_map(|stroke| stroke["at"].as_str()).collect();
        at.dedup();
        at
    };
    // Halves of the beat in 2/4, the last third of it in 6/8 (from the fourth quarter on), beats two and four in 4/4.
    assert_eq!(at(0), ["1/2", "3/2", "5/2", "7/2", "5", "13/2", "8", "19/2", "11", "13", "15", "17"]);
    assert_eq!(at(1).len(), 4 + 4 + 8);
    fs::write(folder.path().join("five.tune"), tune.replace("meter 6/8", "meter 5/4")).expect("a file");
    let done = run(&folder, "check five.tune");
    assert!(
        says(&done.out, "the pattern `march-strum` is for 4/4, 2/4, 2/2, or 6/8, and this section is in 5/4"),
        "{}{}",
        done.out,
        done.err
    );
}
