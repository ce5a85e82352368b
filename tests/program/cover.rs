//! `panfold cover`: what it says of one pan, of several, and of what can't be asked.

use std::fs;

use super::{run, says, small_with};

const TUNE: &str = "title Tide\nband band.toml\nroll none\nkey G\npart lead on lead\npart second on double-second\npart bass on \
                    six-bass\nform verse x2\n\nsection verse\n  lead   | D5 . F#6 B5 | G5 E6 . . |\n  second | . G4+B4 . G4+B4 | . \
                    F3+C4 . . |\n  bass   | G2 . . . | D2 . . . |\n\nsection spare\n  lead | C4 |\n";

const SHORT: &str =
    "name = \"Short\"\nkind = \"lead\"\nnotes = [\"D5\", \"E5\", \"F#5\", \"G5\", \"B5\", \"G4\", \"B4\"]\n";

fn folder() -> tempfile::TempDir {
    small_with(&[("tide.tune", TUNE), ("short.toml", SHORT)])
}

#[test]
fn one_pan() {
    let done = run(folder(), "cover short.toml tide.tune jam.tune");
    assert_eq!((done.code, done.err.as_str()), (Some(0), ""));
    insta::assert_snapshot!(done.out, @r"
    Short: lead; 7 notes, G4 to B5

    Tide
    part    on             strokes  different notes  on this pan  as written  with moves  best key
    lead    lead                10                5            3        60 %       100 %  -
    second  double-second        6                4            2        67 %        67 %  -
    bass    six-bass             4                2            0         0 %       100 %  -

    lead: 60 % as written, complete once 4 notes move by octaves; complete if it also had an E6 and an F#6; `Lead` has this part now and covers more of it (80 %).
    second: 67 %, and octave moves don't help; complete if it also had an F3 and a C4; nobody plays it now.
    bass: nothing as written, but complete once 2 notes move by octaves; `Six` has this part now and covers more of it (100 %).

    Jam
    part  on        strokes  different notes  on this pan  as written  with moves  best key
    lead  lead            4                3            3       100 %       100 %  -
    bass  six-bass        2                2            0         0 %       100 %  -

    lead: complete as written; as good as `Lead`, which has this part now.
    bass: nothing as written, but complete once 2 notes move by octaves; `Six` has this part now and covers more of it (100 %).

    Most-needed missing notes
    note  strokes  parts this note completes
    F3          2  -
    C4          2  -
    E6          2  -
    F#6         2  -
    ");
}

#[test]
fn a_pan_of_the_band_by_its_name() {
    let done = run(folder(), "cover lead tide.tune --part lead");
    insta::assert_snapshot!(done.out, @r"
    Lead: Lead pan in C (low tenor, C soprano); 29 notes, C4 to E6

    Tide
    part  on    strokes  different notes  on this pan  as written  with moves  best key
    lead  lead       10                5            4        80 %       100 %  F 100

    lead: 80 % as written, complete once 5 notes move by octaves; complete if it also had an F#6; in F (2 semitones lower) complete as written; it has this part now.

    Most-needed missing notes
    note  strokes  parts this note completes
    F#6         2  lead of Tide
    ");
}

#[test]
fn several_pans() {
    let folder = folder();
    let band = run(&folder, "cover --band tide.tune jam.tune");
    insta::assert_snapshot!(band.out, @"
    part    on             strokes     Lead    Six

    Tide
    lead    lead                10  *80/100  0/100
    second  double-second        6   67/100  0/100
    bass    six-bass             4    0/100   *100

    Jam
    lead    lead                 4     *100  0/100
    bass    six-bass             2    0/100   *100

    percent of the strokes that can be played; after a / with octave moves
    * has this part now
    ");
    assert_eq!(run(&folder, "cover --band=band.toml tide.tune jam.tune").out, band.out);
    assert_eq!(run(&folder, "cover --band band.toml tide.tune jam.tune").out, band.out);
    assert_eq!(run(&folder, "cover tide.tune jam.tune --band band.toml").out, band.out);
    let kind = run(&folder, "cover --kind tenor tide.tune --part lead");
    insta::assert_snapshot!(kind.out, @"
    part  on    strokes  lead-c  lead-d

    Tide
    lead  lead       10  80/100     100

    percent of the strokes that can be played; after a / with octave moves
    ");
    let beside = run(&folder, "cover short.toml tide.tune --beside lead-d --beside six");
    assert_eq!(beside.code, Some(0), "{}", beside.err);
    insta::assert_snapshot!(beside.out, @"
    part    on             strokes   Short  lead-d    Six

    Tide
    lead    lead                10  60/100     100  0/100
    second  double-second        6      67  67/100  0/100
    bass    six-bass             4   0/100   0/100   *100

    percent of the strokes that can be played; after a / with octave moves
    * has this part now
    ");
}

/// A band with more pans than a screen has room for.
#[test]
fn long_names_stand_above() {
    let folder = folder();
    let pans = (1..=12).map(|n| format!("\n[[pan]]\nname = \"Pan with a long name {n}\"\nlayout = \"lead-c\"\n"));
    let band = format!("name = \"Many\"\n{}", pans.collect::<String>());
    fs::write(folder.path().join("many.toml"), band).expect("a file");
    let done = run(&folder, "cover --band=many.toml tide.tune");
    assert!(done.out.starts_with("a  Pan with a long name 1   lead\nb  "), "{}", done.out);
    assert_eq!(done.out.matches("\nTide\nlead ").count(), 2, "{}", done.out);
    assert!(done.out.lines().all(|line| line.len() <= 120));
}

#[test]
fn json_says_what_the_screen_says() {
    let folder = folder();
    let read = |arguments: &str| -> serde_json::Value {
        let done = run(&folder, arguments);
        assert_eq!((done.code, done.err.as_str()), (Some(0), ""), "{arguments}");
        done.json()
    };
    let one = read("cover short.toml tide.tune --json");
    let lead = &one["parts"][0];
    assert_eq!((&lead["part"], &lead["strokes"], &lead["as_written"]), (&"lead".into(), &10.into(), &6.into()));
    assert_eq!(lead["missing"], serde_json::json!(["E6", "F#6"]));
    assert_eq!(lead["extra"]["with_moves"], serde_json::json!([]));
    assert_eq!(one["parts"][1]["extra"]["with_moves"].as_array().map(Vec::len), Some(2));
    assert_eq!(one["missing"][0]["note"], "F3");
    let many = read("cover --band tide.tune --json");
    assert_eq!(
        many["parts"][0]["pans"][0],
        serde_json::json!({
            "pan": "Lead", "as_written": 8, "with_moves": 10, "octaves": 0, "plays_it_now": true,
        })
    );
    // The counts are `check`'s.
    let checked = read_check(&folder);
    assert_eq!(checked["tunes"][0]["parts"][0]["strokes"], lead["strokes"]);
}

fn read_check(folder: &tempfile::TempDir) -> serde_json::Value {
    run(folder, "check tide.tune --json").json()
}

#[test]
fn a_picture_of_what_is_struck() {
    let folder = folder();
    let done = run(&folder, "cover short.toml tide.tune jam.tune --picture short.svg");
    assert_eq!((done.code, done.err.as_str()), (Some(0), "wrote short.svg\n"));
    assert_eq!(done.out, run(&folder, "cover short.toml tide.tune jam.tune").out);
    let text = fs::read_to_string(folder.path().join("short.svg")).expect("the picture");
    let drawing = roxmltree::Document::parse(&text).expect("XML");
    let titles: Vec<&str> =
        drawing.descendants().filter(|node| node.has_tag_name("title")).filter_map(|node| node.text()).collect();
    // `lead` of both tunes, and `second` of Tide, of which more than half is there: 2 + 1 strokes of D5, 2 of the missing E6.
    for title in ["D5, struck 3 times", "G4, struck 4 times", "E5", "E6: not on this pan, struck 2 times"] {
        assert!(titles.contains(&title), "{titles:?}");
    }
    // The bass is another sort of pan's, unless it is asked for.
    assert!(!text.contains("G2"));
    run(&folder, "cover short.toml tide.tune --part bass --picture bass.svg");
    assert!(fs::read_to_string(folder.path().join("bass.svg")).expect("the picture").contains("G2: not on this pan"));
}

#[test]
fn choices_that_cannot_be() {
    let folder = folder();
    fs::write(folder.path().join("other.toml"), "name = \"Other\"\n[[pan]]\nname = \"Solo\"\nlayout = \"lead-d\"\n")
        .expect("a file");
    fs::write(folder.path().join("other.tune"), TUNE.replace("band.toml", "other.toml")).expect("a file");
    for (arguments, expected) in [
        ("cover tide.tune", "`tide.tune` is a tune, and a pan is needed before it"),
        ("cover lead-c", "no tune is named beside the pan `lead-c`"),
        ("cover laed-c tide.tune", "did you mean `lead-c`?"),
        ("cover Sxi tide.tune", "did you mean `Six`?"),
        ("cover band.toml tide.tune", "`band.toml` is a band, not a pan"),
        ("cover short.toml band.toml", "is a band or a pan, not a tune"),
        ("cover lead-c tide.tune --part laed", "did you mean `lead`?"),
        ("cover lead-c tide.tune jam.tune --part harp", "none of the tunes has a part `harp`"),
        ("cover --kind laed tide.tune", "did you mean `lead`?"),
        ("cover --band tide.tune other.tune", "`tide.tune` is for `Test band`, and `other.tune` for `Other`"),
        ("cover lead-c tide.tune --picture lead.png", "a picture is an SVG file, not `lead.png`"),
        ("cover nowhere.toml tide.tune", "there is no file `nowhere.toml`"),
    ] {
        let done = run(&folder, arguments);
        assert!(done.code == Some(2) && done.out.is_empty() && says(&done.err, expected), "{arguments}: {}", done.err);
    }
}

/// A band that can't be had is all that there is to say.
#[test]
fn a_wrong_band_is_told_once() {
    let folder = folder();
    for (arguments, expected) in [
        ("cover --band=nosuch.toml tide.tune", "there is no file `nosuch.toml`"),
        ("cover --band nosuch.toml tide.tune", "there is no file `nosuch.toml`"),
        ("share --band nosuch.toml tide.tune --part lead", "there is no file `nosuch.toml`"),
        ("cover --band short.toml tide.tune", "this is a pan file, not a band"),
        ("sticks tide.tune --part lead --band short.toml", "this is a pan file, not a band"),
        ("cover --band band.toml", "no tune is named beside the band `band.toml`"),
    ] {
        let done = run(&folder, arguments);
        assert!(done.code == Some(2) && done.out.is_empty() && says(&done.err, expected), "{arguments}: {}", done.err);
        assert_eq!(done.err.to_lowercase().matches("problem: ").count(), 1, "{arguments}: {}", done.err);
    }
    // With a mistake in the tune too, both are to be mended.
    fs::write(folder.path().join("tide.tune"), TUNE.replace("B5 |", "H5 |")).expect("a file");
    let done = run(&folder, "cover --band=nosuch.toml tide.tune");
    assert!(says(&done.err, "there is no note `H5`") && says(&done.err, "can't be played"), "{}", done.err);
}

/// What a tune leaves open is chosen for the pan that is asked about, and `check` says the same once the band has it.
#[test]
fn open_notes_are_for_the_pan_that_is_asked_about() {
    let folder = folder();
    let write = |name: &str, text: &str| std::fs::write(folder.path().join(name), text).expect("a file");
    write("small.toml", "name = \"Small\"\nkind = \"lead\"\nnotes = \"G5 B5 D6 C4\"\n");
    write("now.toml", "name = \"Now\"\n[[pan]]\nname = \"Old\"\nkind = \"lead\"\nnotes = \"G4 B4 D5 C5\"\n");
    write("open.tune", "title Open\nband now.toml\npart lead on lead\nsection a\n lead | G B D G | C G5 B D |\n");
    let done = run(&folder, "cover small.toml open.tune");
    assert!(says(&done.out, "lead: complete as written; better than `Old`"), "{}", done.out);
    write("new.toml", "name = \"New\"\n[[pan]]\nname = \"Small\"\nfile = \"small.toml\"\n");
    assert_eq!(run(&folder, "check open.tune --band new.toml").code, Some(0));
    assert_eq!(run(&folder, "check open.tune").code, Some(1));
    // A bass line that fits a lead is no bass there.
    write(
        "low.tune",
        "title Low\nband now.toml\npart bass on six-bass\nsection a\n chords | G | C |\n bass | 1 . 5 . | 1 . 5 . |\n",
    );
    let done = run(&folder, "cover lead-c low.tune");
    assert!(
        says(&done.out, "complete as written; it would lie 2 octaves higher than on its own kind of pan"),
        "{}",
        done.out
    );
    let many = run(&folder, "cover --kind lead low.tune");
    assert!(says(&many.out, " 100^") && says(&many.out, "\n^ an octave or more higher"), "{}", many.out);
    write("none.toml", "name = \"None\"\n[[percussion]]\nname = \"I\"\nkind = \"iron\"\n");
    let none = run(&folder, "cover --band=none.toml low.tune");
    assert_eq!(none.code, Some(2));
    assert!(says(&none.err, "the band `None` has no pans to compare"), "{}", none.err);
}
