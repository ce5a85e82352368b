//! Who plays what, as it is said: one player and two parts, whom a tune names, rows for one pan alone, a drum kit.

use std::fs;
use std::path::Path;

use super::{folder_of, listing, run, says};

const TWO: &str = "title Two\nband band.toml\nroll none\n\npart lead on lead\npart descant on lead\n\nform verse\n\nsection \
                   verse\n  lead    | C5 D5 E5 F5 | G5 . . . |\n  descant | E5 F5 G5 A5 | B5 . . . |\n";

fn pan(name: &str, more: &str) -> String {
    format!("[[pan]]\nname = \"{name}\"\nlayout = \"lead-c\"\n{more}\n\n")
}

fn folder(band: &str, tune: &str) -> tempfile::TempDir {
    folder_of(&[("band.toml", &format!("name = \"B\"\n\n{band}")), ("two.tune", tune)])
}

/// The kinds and messages of all findings of a check.
fn told(folder: impl AsRef<Path>) -> Vec<String> {
    let checked = run(folder, "check two.tune --json").json();
    let findings = checked["tunes"][0]["findings"].as_array().expect("findings").clone();
    let text = |finding: &serde_json::Value| {
        let help: Vec<&str> =
            finding["help"].as_array().expect("help").iter().filter_map(|help| help.as_str()).collect();
        let (kind, message) =
            (finding["kind"].as_str().expect("a kind"), finding["message"].as_str().expect("a message"));
        format!("{kind}: {message}; {}", help.join("; "))
    };
    findings.iter().map(text).collect()
}

#[test]
fn one_player_is_not_given_two_parts_at_a_time() {
    let one = folder(&pan("Red rim", ""), TWO);
    insta::assert_debug_snapshot!(told(&one), @r#"
    [
        "one-player-two-parts: nobody plays `descant`: `Red rim` plays `lead` at the same time; see where `descant` and `lead` sound together: all of `verse`; add another lead to the band file, or let `descant` and `lead` take turns",
    ]
    "#);
    assert_eq!(run(&one, "check two.tune").code, Some(1));
    let lineup = run(&one, "lineup two.tune");
    assert_eq!(lineup.code, Some(1));
    assert!(says(&lineup.out, "Two: nobody plays `descant`"), "{}", lineup.out);
}

#[test]
fn who_is_free_is_named() {
    let tenors = "[[pan]]\nname = \"Tenors\"\nlayout = \"double-tenor\"\n";
    let one = folder(&format!("{}{tenors}", pan("Red rim", "")), TWO);
    let told = told(&one);
    assert!(told[0].contains("`Tenors` (double-tenor) is free and has all the notes"), "{told:?}");
    // What is advised is taken.
    let advised = told[0].split('`').find(|text| text.starts_with("part ")).expect("a line to write").to_owned();
    fs::write(one.path().join("two.tune"), TWO.replace("part descant on lead", &advised)).expect("a file");
    assert_eq!(run(&one, "check two.tune").code, Some(0));
}

#[test]
fn two_pans_have_a_sheet_each() {
    let two = folder(&format!("{}{}", pan("Red rim", ""), pan("Blue rim", "")), TWO);
    assert!(told(&two).is_empty(), "{:?}", told(&two));
    assert_eq!(run(&two, "pack two.tune -o out").code, Some(0));
    let sheets = listing(&two.path().join("out")).into_iter().filter(|name| name.ends_with(".pdf"));
    assert_eq!(sheets.collect::<Vec<_>>(), ["descant/two-descant.pdf", "lead/two-lead.pdf"]);
}

#[test]
fn a_tune_says_who_plays_a_part() {
    let both = format!("{}{}", pan("Red rim", "plays = [\"descant\"]"), pan("Blue rim", ""));
    let habit = folder(&both, TWO);
    let player = |folder: &tempfile::TempDir, part: usize| {
        run(folder, "check two.tune --json").json()["tunes"][0]["parts"][part]["players"][0].as_str().map(str::to_owned)
    };
    assert_eq!(player(&habit, 1).as_deref(), Some("Red rim"));
    let said = folder(&both, &TWO.replace("part descant on lead", "part descant on lead for blue rim"));
    assert_eq!((player(&said, 0).as_deref(), player(&said, 1).as_deref()), (Some("Red rim"), Some("Blue rim")));
    insta::assert_debug_snapshot!(told(&said), @r#"
    [
        "broken-habit: `Red rim` plays `lead` here, though its `plays` says `descant`: otherwise nobody would play it; add `lead` to the `plays` of `Red rim` if that is how you want it",
    ]
    "#);
    let wrong = folder(&both, &TWO.replace("part descant on lead", "part descant on lead for Blu rim"));
    assert!(told(&wrong)[0].contains("did you mean `Blue rim`?"), "{:?}", told(&wrong));
    let nobody = folder(&both, &TWO.replace("part descant on lead", "part descant on lead for"));
    assert!(told(&nobody)[0].contains("a name is missing after `for`"), "{:?}", told(&nobody));
}

const HIGH: &str = "title Two\nband band.toml\nroll none\n\npart lead on lead\n\nsection verse\n  lead | C6 E6 C6 . | E6 - - . |\n\
                    section chorus\n  lead | C5 D5 E5 . |\n";

#[test]
fn only_the_pan_that_lacks_a_note_moves() {
    let three = format!("{}{}{}", pan("Red rim", ""), pan("Green rim", "without = [\"E6\"]"), pan("Blue rim", ""));
    let folder = folder(&three, HIGH);
    let all = run(&folder, "fit two.tune");
    assert!(says(&all.out, "moves for all; ") || says(&all.out, "move for all; "), "{}", all.out);
    let done = run(&folder, "fit two.tune --each");
    assert_eq!(done.code, Some(0), "{}", done.err);
    insta::assert_snapshot!(done.out, @r"
    lead on `Red rim` and `Blue rim`: nothing moves
    lead on `Green rim`: 4 notes go down an octave and the line changes octave once, at a rest, in rows of its own

    a new row at line 8
      now  lead for Green rim | C5 E5 C5 . | E5 - - . |
    ");
    assert_eq!(run(&folder, "fit two.tune --each --write").code, Some(0));
    assert!(told(&folder).is_empty(), "{:?}", told(&folder));
    let parts = run(&folder, "check two.tune --json").json()["tunes"][0]["parts"].clone();
    assert_eq!(parts[0]["players"], serde_json::json!(["Red rim", "Blue rim"]));
    assert_eq!(
        (&parts[1]["name"], &parts[1]["players"]),
        (&"lead for Green rim".into(), &serde_json::json!(["Green rim"]))
    );
    // The tune is tidied like any other, and a second fit changes nothing.
    assert_eq!(run(&folder, "tidy two.tune").code, Some(0));
    assert!(told(&folder).is_empty());
    let text = fs::read_to_string(folder.path().join("two.tune")).expect("the tune");
    assert_eq!(run(&folder, "fit two.tune --each --write").code, Some(0));
    assert_eq!(fs::read_to_string(folder.path().join("two.tune")).expect("the tune"), text);
}

#[test]
fn a_row_for_a_pan_that_does_not_play_the_part_is_told() {
    let both = format!("{}[[pan]]\nname = \"Tenors\"\nlayout = \"double-tenor\"\n", pan("Red rim", ""));
    let own = HIGH.replace("section chorus", "  lead for Tenors | C5 . . . | . |\nsection chorus");
    let told = told(folder(&both, &own));
    assert!(told.iter().any(|told| told.starts_with("row-not-used: `Tenors` doesn't play `lead`")), "{told:?}");
    let unknown = HIGH.replace("section chorus", "  lead for Redd rim | C5 . . . | . |\nsection chorus");
    let told = self::told(folder(&both, &unknown));
    assert_eq!(told.len(), 1, "{told:?}");
    assert!(told[0].contains("did you mean `Red rim`?"), "{told:?}");
    // A row for one pan alone has as many bars as all others.
    let short = HIGH.replace("section chorus", "  lead for Red rim | C5 . . . |\nsection chorus");
    let told = self::told(folder(&both, &short));
    assert!(told.iter().any(|told| told.starts_with("bars-differ")), "{told:?}");
}

#[test]
fn a_part_that_nobody_plays_is_not_dropped_from_a_fit() {
    let two = folder(&pan("Red rim", ""), &TWO.replace("descant on lead", "descant on six-bass"));
    let done = run(&two, "fit two.tune");
    assert_eq!(done.code, Some(1), "{}{}", done.out, done.err);
    assert!(says(&done.out, "descant: nobody in the band plays it"), "{}", done.out);
    assert_eq!(run(&two, "fit two.tune --json").json()["nobody"], serde_json::json!(["descant"]));
}

#[test]
fn wrong_players_are_answered() {
    let of = |player: &str| told(folder(&format!("{}{player}", pan("Red rim", "")), TWO));
    for (player, expected) in [
        ("[[player]]\nname = \"Ida\"\nplays = [\"Red rym\"]\n", "did you mean `Red rim`?"),
        ("[[player]]\nname = \"Ida\"\n", "`plays` is missing: what does Ida play?"),
        ("[[player]]\nplays = [\"Red rim\"]\n", "`name` is missing"),
        (
            "[[player]]\nname = \"Ida\"\nplays = [\"Red rim\"]\nknows = [\"lead\"]\n",
            "doesn't say which part of which tune",
        ),
        ("[[player]]\nname = \"Ida\"\nplays = [\"Red rim\"]\nlevel = \"expert\"\n", "`expert` is not a level"),
        ("[[player]]\nname = \"Ida\"\nplay = [\"Red rim\"]\n", "there is no setting `play`"),
        (
            "[[player]]\nname = \"Ida\"\nplays = [\"Red rim\"]\n[[player]]\nname = \"Ida\"\nplays = [\"Red rim\"]\n",
            "two players named `Ida`",
        ),
    ] {
        let told = of(player);
        assert!(told.iter().any(|told| told.contains(expected)), "{player}{told:?}");
    }
}
