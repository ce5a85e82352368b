//! `panfold sticks` and `panfold share`: screens, JSON, exit codes; what they print can stand in a tune.

use std::fs;

use super::{folder_of, one_pan, run, says, small};

/// The small tune with a line in sixteenths.
fn busy() -> tempfile::TempDir {
    let folder = small();
    let path = folder.path().join("jam.tune");
    let tune = fs::read_to_string(&path).unwrap();
    let line = "lead | D5 E5 F#5 G5 A5 G5 F#5 E5 D5+A5 . D5+A5 . G5 ~ ~ . |";
    fs::write(&path, tune.replace("lead | D5 . G5 B5 |", line).replace("tempo 240", "tempo 60")).unwrap();
    folder
}

#[test]
fn the_sticks_can_stand_in_the_tune() {
    let folder = busy();
    let done = run(folder.path(), "sticks jam.tune --part lead");
    assert_eq!(done.code, Some(0), "{}", done.err);
    assert!(done.out.starts_with("lead on Lead, played by an intermediate player: possible at "), "{}", done.out);
    let rows = &done.out[done.out.find("\nsection").expect("rows")..];
    let verse = rows.lines().find(|line| line.contains("lead |")).expect("a row");
    let cells: Vec<&str> = verse.split('|').nth(1).expect("a bar").split_whitespace().collect();
    assert_eq!(cells.len(), 16);
    // Strokes alternate, two notes have both sticks, what is not a stroke has none.
    assert!(cells.iter().all(|cell| cell.contains(['L', 'R']) == cell.contains(|c: char| c.is_ascii_digit())));
    assert!(cells[8].contains('+') && cells[8].matches(['L', 'R']).count() == 1, "{}", cells[8]);
    let path = folder.path().join("jam.tune");
    let tune = fs::read_to_string(&path).unwrap();
    let own = tune.lines().find(|line| line.contains("D5 E5 F#5")).expect("the row").to_owned();
    fs::write(&path, tune.replace(&own, verse)).unwrap();
    assert_eq!(run(folder.path(), "check jam.tune").out, "Jam on Test band: no problems found in 3 parts\n");
    // What is written is chosen again.
    assert_eq!(run(folder.path(), "sticks jam.tune --part lead").out, done.out);
}

#[test]
fn a_level_makes_a_difference_and_a_wrong_one_is_answered() {
    let folder = busy();
    let possible = |level: &str| -> f64 {
        let done = run(folder.path(), &format!("sticks jam.tune --part lead --level {level} --json"));
        let json = done.json();
        assert_eq!(json["level"], level);
        assert_eq!(json["sections"][0]["strokes"][0]["notes"][0], "D5");
        json["percent"].as_f64().expect("a number")
    };
    assert!(possible("beginner") < possible("intermediate") && possible("intermediate") < possible("experienced"));
    assert_eq!(run(folder.path(), "sticks jam.tune --part lead --level expert").code, Some(2));
    let iron = run(folder.path(), "sticks jam.tune --part iron");
    assert_eq!(iron.code, Some(2));
    assert!(says(&iron.err, "is on `iron`, which has no notes"), "{}", iron.err);
}

#[test]
fn a_shared_part_is_a_tune_of_two_parts() {
    let folder = busy();
    let band = folder.path().join("band.toml");
    let text = fs::read_to_string(&band).unwrap();
    fs::write(&band, format!("{text}\n[[pan]]\nname = \"Second lead\"\nlayout = \"lead-c\"\n")).unwrap();
    for way in ["notes", "beats", "strokes"] {
        let done = run(folder.path(), &format!("share jam.tune --part lead --way {way}"));
        assert_eq!(done.code, Some(0), "{}", done.err);
        let rows = &done.out[done.out.find("part lead-1").expect("the parts")..];
        let tune = format!("title Two\nband band.toml\ntempo 120\nroll none\n{rows}");
        fs::write(folder.path().join("two.tune"), &tune).unwrap();
        let check = run(folder.path(), "check two.tune --json");
        let json = check.json();
        assert_eq!(json["tunes"][0]["errors"], 0, "{tune}\n{}", check.out);
        // Together they have every stroke once; of two notes each has one.
        let strokes = |tune: &str| -> u64 {
            let check = run(folder.path(), &format!("check {tune} --json"));
            let json = check.json();
            let parts = json["tunes"][0]["parts"].as_array().expect("parts").clone();
            let leads = parts.iter().filter(|part| part["name"].as_str().is_some_and(|name| name.starts_with("lead")));
            leads.map(|part| part["strokes"].as_u64().expect("a number")).sum()
        };
        assert_eq!(strokes("two.tune"), strokes("jam.tune") + if way == "notes" { 2 } else { 0 });
    }
    let wrong = run(folder.path(), "share jam.tune --part bass --way notes");
    assert_eq!(wrong.code, Some(2));
    assert!(says(&wrong.err, "can't be shared that way"), "{}", wrong.err);
}

#[test]
fn a_level_in_the_band_file_counts() {
    let folder = busy();
    let band = folder.path().join("band.toml");
    let text = fs::read_to_string(&band).unwrap();
    fs::write(&band, text.replace("layout = \"lead-c\"", "layout = \"lead-c\"\nlevel = \"beginner\"")).unwrap();
    let done = run(folder.path(), "check jam.tune");
    assert_eq!(done.code, Some(0));
    assert!(says(&done.out, "too-fast)"), "{}", done.out);
    assert!(says(&done.out, "for a beginner"), "{}", done.out);
    fs::write(&band, text.replace("layout = \"lead-c\"", "layout = \"lead-c\"\nlevel = \"begginer\"")).unwrap();
    let wrong = run(folder.path(), "check jam.tune");
    assert!(says(&wrong.out, "did you mean `beginner`?"), "{}", wrong.out);
}

/// A part on one lead, its sections' and bars' tempos as `panfold sticks` says them in JSON.
fn possible(tune: &str) -> Vec<(f64, Vec<f64>)> {
    let tune = format!("band band.toml\nmeter 4/4\nroll none\npart p on lead\n{tune}");
    let folder = folder_of(&[("band.toml", &one_pan("lead-c")), ("a.tune", &tune)]);
    let done = run(folder.path(), "sticks a.tune --part p --json");
    let json = done.json();
    let tempo = |value: &serde_json::Value| value["possible"].as_f64().expect("a tempo");
    let sections = json["sections"].as_array().expect("sections").iter();
    sections.map(|of| (tempo(of), of["bars"].as_array().expect("bars").iter().map(tempo).collect())).collect()
}

#[test]
fn a_bar_is_limited_by_the_ways_that_end_in_it() {
    // A figure that hardly anybody plays, three bars of rest, and one stroke: four times the tempo is the most that is looked for.
    let hard = "section hard\n p | Eb4 E6 Eb4/E6/Eb4/E6/Eb4/E6/Eb4/E6 . | . | . | . |\n";
    let easy = "section easy\n p | C5 . . . | . | . | . |\n";
    let found = possible(&format!("tempo 150\n{hard}{easy}"));
    assert!(found[0].0 < 150.0, "{found:?}");
    assert_eq!(found[1], (600.0, vec![600.0]));
    // Into a section with a tempo of its own.
    let hard = "section hard\n p | . . . Eb4/E6/Eb4/E6/Eb4/E6/Eb4/E6 | . | . |\n";
    let slow = "section slow\n tempo 60\n p | C5 - - - | G4 - - - |\n";
    let found = possible(&format!("tempo 150\n{hard}{slow}"));
    assert_eq!(found[1], (240.0, vec![240.0, 240.0]));
    // Within a section: the last bar is as fast as it is alone.
    let before = "C4+E6 . C4+E6/D4+D6 . . . . .";
    let last = "F4 G4 A4 G4 F4 G4 A4 C5";
    let found = possible(&format!("tempo 120\nsection a\n p | {before} | {last} |\n"));
    let alone = possible(&format!("tempo 120\nsection a\n p | {last} |\n"));
    assert_eq!(found[0].1[1], alone[0].0);
    assert!(found[0].1[0] < alone[0].0 && found[0].0 == found[0].1[0], "{found:?}");
    // Right after it the first way counts: from A5 to C4 and E6 it is far.
    let near = possible("tempo 120\nsection a\n p | . . . . . . A5+C6 A5+C6 | C4+E6 . . . . . . . |\n");
    assert!(near[0].1[1] < 480.0, "{near:?}");
}

#[test]
fn experienced_players_turn_faster_than_others() {
    for layout in ["six-bass", "nine-bass"] {
        let across = if layout == "six-bass" { "C2 C#2" } else { "E1 Bb1" };
        let tune = format!("band band.toml\ntempo 240\npart p on {layout}\nsection a\n p | {across} {across} |\n");
        let folder = folder_of(&[("band.toml", &one_pan(layout)), ("a.tune", &tune)]);
        let percent = ["beginner", "intermediate", "experienced"].map(|level| {
            let done = run(folder.path(), &format!("sticks a.tune --part p --level {level} --json"));
            let json = done.json();
            json["percent"].as_f64().expect("a number")
        });
        assert!(percent[0] < percent[1] && percent[1] < percent[2] && percent[2] < 400.0, "{layout}: {percent:?}");
    }
}

#[test]
fn a_pair_out_of_reach_is_told_with_the_sticks_too() {
    let tune = "band band.toml\ntempo 90\npart p on nine-bass\nsection a\n p | E1+Bb1 . E1 . |\n";
    let folder = folder_of(&[("band.toml", &one_pan("nine-bass")), ("a.tune", tune)]);
    for command in ["sticks", "share"] {
        let done = run(folder.path(), &format!("{command} a.tune --part p"));
        assert_eq!(done.code, Some(0));
        assert!(says(&done.err, "`E1` and `Bb1` lie ") && !says(&done.out, "lie"), "{}", done.err);
    }
    let check = run(folder.path(), "check a.tune");
    assert!(says(&check.out, "out-of-reach") && says(&check.out, "two hands reach 130 cm"), "{}", check.out);
}

#[test]
fn a_sheet_shows_sticks_when_asked() {
    let folder = busy();
    let plain = run(folder.path(), "sheet jam.tune --part lead -o plain.svg");
    let stuck = run(folder.path(), "sheet jam.tune --part lead --sticks -o sticks.svg");
    assert_eq!((plain.code, stuck.code), (Some(0), Some(0)), "{}", stuck.err);
    let said = |name: &str| fs::read_to_string(folder.path().join(name)).unwrap().contains("L, R: the stick");
    assert!(!said("plain.svg") && said("sticks.svg"));
}

/// The band file with a table before its first pan.
fn with_levels(folder: &std::path::Path, levels: &str) {
    let text = fs::read_to_string(folder.join("band.toml")).unwrap();
    let (before, pans) = text.split_at(text.find("[[pan]]").expect("a pan"));
    fs::write(folder.join("band.toml"), format!("{before}[levels]\n{levels}\n\n{pans}")).unwrap();
}

#[test]
fn a_level_for_a_part_counts_everywhere_and_is_shown() {
    let folder = busy();
    let band = fs::read_to_string(folder.path().join("band.toml")).unwrap();
    let pan = band.replace("layout = \"lead-c\"", "layout = \"lead-c\"\nlevel = \"intermediate\"");
    fs::write(folder.path().join("band.toml"), pan).unwrap();
    let sticks = |more: &str| run(folder.path(), &format!("sticks jam.tune --part lead{more}")).out;
    assert!(
        sticks("").starts_with("lead on Lead, played by an intermediate player (set for the pan): "),
        "{}",
        sticks("")
    );
    with_levels(folder.path(), "lead = \"beginner\"");
    assert!(sticks("").starts_with("lead on Lead, played by a beginner (set for the part): "), "{}", sticks(""));
    assert!(sticks(" --level intermediate").starts_with("lead on Lead, played by an intermediate player: "));
    let json = |text: &str| -> serde_json::Value { serde_json::from_str(text).expect("JSON") };
    for (more, level, from) in [("", "beginner", "part"), (" --level experienced", "experienced", "asked")] {
        for command in ["sticks", "share"] {
            let json = json(&run(folder.path(), &format!("{command} jam.tune --part lead{more} --json")).out);
            assert_eq!((&json["level"], &json["level_set_for"]), (&level.into(), &from.into()), "{command}");
        }
    }
    let share = run(folder.path(), "share jam.tune --part lead").out;
    assert!(share.starts_with("lead on Lead, played by a beginner (set for the part)\n"), "{share}");
    let check = run(folder.path(), "check jam.tune").out;
    assert!(says(&check, "for a beginner"), "{check}");
    assert!(!says(&check, "mistyped"), "{check}");
}

#[test]
fn a_wrong_level_of_a_part_is_answered_at_its_place() {
    for (levels, what, help) in [
        ("lead = \"begginer\"", "`begginer` is not a level", "did you mean `beginner`?"),
        (
            "lead = \"old hand\"",
            "`old hand` is not a level",
            "choose from the levels: `beginner`, `intermediate`, and `experienced`",
        ),
        ("lead = 3", "`lead` is a text in quotes, not a number", "for example `lead = \"…\"`"),
        (
            "laed = \"beginner\"",
            "there is a level for `laed`, which is not a part in this tune",
            "did you mean `lead`?",
        ),
    ] {
        let folder = busy();
        with_levels(folder.path(), levels);
        let check = run(folder.path(), "check jam.tune").out;
        assert!(says(&check, what) && says(&check, help), "{levels}: {check}");
        let place = format!("{levels}\n");
        assert!(says(&check, "band.toml, line ") && says(&check, &place), "{levels}: {check}");
    }
    // Where a level is used, and a misspelt one was meant, that is told too.
    let folder = busy();
    with_levels(folder.path(), "laed = \"beginner\"");
    for command in ["sticks", "share"] {
        let done = run(folder.path(), &format!("{command} jam.tune --part lead"));
        assert_eq!(done.code, Some(0), "{}", done.err);
        assert!(says(&done.err, "there is a level for `laed`") && !says(&done.out, "laed"), "{}", done.err);
        let asked = run(folder.path(), &format!("{command} jam.tune --part lead --level beginner"));
        assert_eq!(asked.err, "", "a level that was asked for");
    }
    // A band file serves many tunes: names that are like none are those of others.
    let folder = busy();
    with_levels(folder.path(), "descant = \"beginner\"");
    assert_eq!(run(folder.path(), "check jam.tune").code, Some(0));
    // One line is no table.
    let folder = busy();
    let band = fs::read_to_string(folder.path().join("band.toml")).unwrap();
    fs::write(folder.path().join("band.toml"), format!("levels = \"beginner\"\n{band}")).unwrap();
    let check = run(folder.path(), "check jam.tune").out;
    assert!(says(&check, "`levels` is a heading") && says(&check, "write `[levels]`"), "{check}");
    // A part that is called as a setting of the band.
    for (levels, code) in [("name = \"beginner\"", 0), ("\"level\" = \"beginner\"", 0), ("level = \"beginner\"", 1)] {
        let folder = busy();
        with_levels(folder.path(), levels);
        assert_eq!(run(folder.path(), "check jam.tune").code, Some(code), "{levels}");
    }
}
