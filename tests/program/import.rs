//! `panfold import`: tunes from MIDI files and MusicXML, what is told beside them, and what is left alone.

use std::fs;
use std::path::Path;

use super::{run, says, small_with};

/// A MusicXML file of one part around these measures.
pub fn musicxml(measures: &str) -> String {
    format!(
        "<?xml version=\"1.0\"?>\n<!DOCTYPE score-partwise PUBLIC \"-//Recordare//DTD MusicXML 4.0 Partwise//EN\" \
         \"http://www.musicxml.org/dtds/partwise.dtd\">\n<score-partwise version=\"4.0\">\n\
         <movement-title>Lamp Song</movement-title>\n<part-list><score-part id=\"P1\"><part-name>Melody</part-name>\
         </score-part></part-list>\n<part id=\"P1\">\n{measures}\n</part>\n</score-partwise>\n"
    )
}

/// A note of so many eighths.
fn note(step: char, octave: u8, eighths: u8, more: &str) -> String {
    format!(
        "<note><pitch><step>{step}</step><octave>{octave}</octave></pitch><duration>{eighths}</duration>{more}</note>\n"
    )
}

/// A tune with a pickup, a repeat with two endings, chords, words, a tie, and a grace note.
fn lamp_song() -> String {
    let start = "<attributes><divisions>2</divisions><key><fifths>1</fifths></key><time><beats>4</beats>\
                 <beat-type>4</beat-type></time></attributes><direction><direction-type><metronome>\
                 <beat-unit>quarter</beat-unit><per-minute>96</per-minute></metronome></direction-type></direction>";
    let harmony = |step: char, kind: &str| {
        format!("<harmony><root><root-step>{step}</root-step></root><kind>{kind}</kind></harmony>")
    };
    let ending = |number: u8, kind: &str, repeat: &str| {
        format!("<barline><ending number=\"{number}\" type=\"{kind}\"/>{repeat}</barline>")
    };
    let lyric = |text: &str, kind: &str| format!("<lyric><syllabic>{kind}</syllabic><text>{text}</text></lyric>");
    let backward = "<repeat direction=\"backward\"/>";
    let mut text = format!("<measure number=\"0\" implicit=\"yes\">{start}{}</measure>", note('D', 5, 2, ""));
    text += "<measure number=\"1\"><barline location=\"left\"><repeat direction=\"forward\"/></barline>";
    text += &harmony('G', "major");
    text += &note('G', 5, 2, &lyric("Lan", "begin"));
    text += &note('G', 5, 2, &lyric("tern", "end"));
    text += "<note><grace/><pitch><step>A</step><octave>5</octave></pitch></note>";
    text += &note('B', 5, 4, "<tie type=\"start\"/>");
    text += "</measure><measure number=\"2\">";
    text += &(note('B', 5, 2, "<tie type=\"stop\"/>") + &harmony('D', "dominant"));
    text += &(note('A', 5, 1, "") + &note('F', 5, 1, "") + &note('A', 5, 4, ""));
    text += "</measure><measure number=\"3\">";
    text += &(ending(1, "start", "") + &note('G', 5, 8, "") + &ending(1, "stop", backward));
    text += "</measure><measure number=\"4\">";
    text += &(ending(2, "start", "") + &note('G', 4, 8, "") + &ending(2, "discontinue", ""));
    musicxml(&(text + "</measure>"))
}

fn folder() -> tempfile::TempDir {
    small_with(&[("lamp.musicxml", &lamp_song())])
}

fn text(path: &Path) -> String {
    fs::read_to_string(path).expect("the tune")
}

#[test]
fn a_song_becomes_a_tune() {
    let folder = folder();
    let done = run(&folder, "import lamp.musicxml");
    assert_eq!(done.code, Some(0), "{}", done.err);
    insta::assert_snapshot!(done.out, @r#"
    title   Lamp Song
    key     G
    meter   4/4
    tempo   96
    pickup  1
    roll    none  # without this line notes of two beats and more are rolled

    part melody on lead          # the layout `lead-d` has all its notes, G4 to B5

    form  start a a-1 a a-2

    section start
      melody | D5 |

    section a
      chords | G          | - D7    -  - |
      words  | Lan-tern   |              |
      melody | G5 G5 B5 - | - A5/F5 A5 - |

    section a-1
      chords | D7 |
      melody | G5 |

    section a-2
      chords | D7 |
      melody | G4 |
    "#);
    insta::assert_snapshot!(done.err, @r"
    lamp.musicxml, line 10 (possible problem: not-carried)
        <note><grace/><pitch><step>A</step><octave>5</octave></pitch></note><note><pitch><step>B</step><octave>5</octave></…
        └────┘
      `lamp.musicxml`, part `Melody`, measure 1: a grace note is left out.
    ");
}

#[test]
fn the_tune_is_for_the_band_and_has_no_mistakes() {
    let folder = folder();
    fs::create_dir(folder.path().join("tunes")).expect("a folder");
    let done = run(&folder, "import lamp.musicxml -o tunes/lamp.tune --band band.toml");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(
        says(&done.err, "wrote tunes/lamp.tune: 1 part, 7 bars\n  melody on lead: `Lead` has all its notes"),
        "{}",
        done.err
    );
    assert!(text(&folder.path().join("tunes/lamp.tune")).contains("\nband    ../band.toml\n"));
    let checked = run(&folder, "check tunes/lamp.tune");
    assert_eq!(checked.code, Some(0), "{}", checked.out);
    assert_eq!(run(&folder, "tidy --check tunes/lamp.tune").code, Some(0));
}

#[test]
fn a_tune_that_is_there_is_left_alone() {
    let folder = folder();
    let before = text(&folder.path().join("jam.tune"));
    let done = run(&folder, "import lamp.musicxml -o jam.tune");
    assert_eq!(done.code, Some(2));
    assert!(says(&done.err, "`jam.tune` is there already"), "{}", done.err);
    assert_eq!(text(&folder.path().join("jam.tune")), before);
    assert_eq!(run(&folder, "import lamp.musicxml -o jam.tune --replace").code, Some(0));
    assert!(text(&folder.path().join("jam.tune")).starts_with("title   Lamp Song\n"));
}

#[test]
fn many_files_go_into_a_folder_and_one_that_is_broken_stops_no_other() {
    let folder = folder();
    fs::write(folder.path().join("broken.xml"), "<score-partwise><part>").expect("a file");
    run(&folder, "render jam.tune --midi jam.mid");
    let done = run(&folder, "import lamp.musicxml broken.xml jam.mid -o tunes --json");
    assert_eq!(done.code, Some(2));
    let result = done.json();
    assert_eq!((&result["tunes"][1]["file"], done.err.as_str()), (&"broken.xml".into(), ""));
    let files: Vec<&str> =
        result["tunes"].as_array().expect("tunes").iter().filter_map(|tune| tune["output"].as_str()).collect();
    assert_eq!(files, ["tunes/lamp.tune", "tunes/jam.tune"]);
    assert_eq!(result["tunes"][0]["form"], serde_json::json!(["start", "a", "a-1", "a", "a-2"]));
}

#[test]
fn what_is_rendered_comes_back() {
    let folder = folder();
    assert_eq!(run(&folder, "render jam.tune --midi jam.mid").code, Some(0));
    let done = run(&folder, "import jam.mid -o back.tune --band band.toml");
    assert_eq!(done.code, Some(0), "{}", done.err);
    insta::assert_snapshot!(text(&folder.path().join("back.tune")), @r#"
    title   Jam
    band    band.toml
    key     C
    meter   4/4
    tempo   240
    roll    none  # without this line notes of two beats and more are rolled

    part lead on lead          # `Lead` has all its notes, D5 to B5
    part bass on six-bass      # `Six` has all its notes, D2 to G2
    part iron on iron          # `Brake drum` is one

    form  verse chorus

    section verse
      lead | D5 . G5 B5 |
      bass | G2 . .  .  |
      iron | x  x x  x  |

    section chorus
      lead | B5 |
      bass | D2 |
    "#);
    assert_eq!(run(&folder, "render back.tune --midi back.mid").code, Some(0));
    let notes = |name: &str| {
        let file = panfold::midi::read(&fs::read(folder.path().join(name)).expect("a file")).expect("MIDI");
        file.notes().into_iter().map(|note| (note.tick, note.key, note.length)).collect::<Vec<_>>()
    };
    assert_eq!(notes("back.mid"), notes("jam.mid"));
}

/// A grid that is asked for holds for MusicXML as for MIDI, and what it moves is told.
#[test]
fn a_grid_moves_the_notes_of_musicxml() {
    let off = "<measure number=\"1\"><attributes><divisions>2</divisions><time><beats>4</beats><beat-type>4</beat-type></time>\
               </attributes>";
    let bar = format!("{off}{}{}{}</measure>", note('D', 5, 1, ""), note('E', 5, 3, ""), note('F', 5, 4, ""));
    let folder = small_with(&[("off.musicxml", &musicxml(&bar))]);
    let exact = run(&folder, "import off.musicxml");
    assert!(says(&exact.out, "| D5/E5 - F5 - |") && !says(&exact.err, "grid"), "{}{}", exact.out, exact.err);
    let moved = run(&folder, "import off.musicxml --grid 4");
    assert_eq!(moved.code, Some(0), "{}", moved.err);
    assert!(says(&moved.out, "| D5 E5 F5 - |"), "{}", moved.out);
    assert!(
        says(&moved.err, "measure 1: a note begins elsewhere on the grid 4, at most 0.500 of a quarter note away"),
        "{}",
        moved.err
    );
}

#[test]
fn choices() {
    let folder = folder();
    for (options, expected) in [
        ("import lamp.musicxml --part bass", "its parts are 1 `Melody`"),
        ("import lamp.musicxml --track 2", "its parts are 1 `Melody`"),
        ("import lamp.musicxml jam.tune", "several files need a folder"),
        ("import jam.tune", "neither a MIDI file nor MusicXML"),
        ("import nothing.mid", "there is no file"),
        ("import lamp.musicxml --grid 0", "write pieces of a whole note"),
        ("import lamp.musicxml --band jam.tune", "jam.tune"),
    ] {
        let done = run(&folder, options);
        assert!(done.code == Some(2) && says(&done.err, expected), "{options}: {}", done.err);
    }
    assert_eq!(run(&folder, "import lamp.musicxml --part MELODY").code, Some(0));
    assert_eq!(run(&folder, "import lamp.musicxml --track 1").code, Some(0));
}
