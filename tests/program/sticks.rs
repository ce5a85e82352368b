//! `panfold sticks` and `panfold share`: screens, JSON, exit codes; what they print can stand in a tune.

use std::fs;

use super::{run, small};

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
    assert!(done.out.starts_with("lead on Lead, played by an improver: possible at "), "{}", done.out);
    let rows = &done.out[done.out.find("\nsection").expect("rows")..];
    let verse = rows.lines().find(|line| line.contains("lead |")).expect("a row");
    let cells: Vec<&str> = verse.split('|').nth(1).expect("a bar").split_whitespace().collect();
    assert_eq!(cells.len(), 16);
    // Strokes alternate, two notes have both sticks, what is no stroke has none.
    assert!(cells.iter().all(|cell| cell.contains(['L', 'R']) == cell.contains(|c: char| c.is_ascii_digit())));
    assert!(cells[8].contains('+') && cells[8].matches(['L', 'R']).count() == 1, "{}", cells[8]);
    let path = folder.path().join("jam.tune");
    let tune = fs::read_to_string(&path).unwrap();
    let own = tune.lines().find(|line| line.contains("D5 E5 F#5")).expect("the row").to_owned();
    fs::write(&path, tune.replace(&own, verse)).unwrap();
    assert_eq!(run(folder.path(), "check jam.tune").out, "Jam on Test band: nothing to mend in 3 parts\n");
    // What is written is chosen again.
    assert_eq!(run(folder.path(), "sticks jam.tune --part lead").out, done.out);
}

#[test]
fn a_level_makes_a_difference_and_a_wrong_one_is_answered() {
    let folder = busy();
    let possible = |level: &str| -> f64 {
        let done = run(folder.path(), &format!("sticks jam.tune --part lead --level {level} --json"));
        let json: serde_json::Value = serde_json::from_str(&done.out).expect("JSON");
        assert_eq!(json["level"], level);
        assert_eq!(json["sections"][0]["strokes"][0]["notes"][0], "D5");
        json["percent"].as_f64().expect("a number")
    };
    assert!(possible("beginner") < possible("improver") && possible("improver") < possible("experienced"));
    assert_eq!(run(folder.path(), "sticks jam.tune --part lead --level expert").code, Some(2));
    let iron = run(folder.path(), "sticks jam.tune --part iron");
    assert_eq!(iron.code, Some(2));
    assert!(iron.err.contains("is on `iron`, which has no notes"), "{}", iron.err);
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
        let json: serde_json::Value = serde_json::from_str(&check.out).expect("JSON");
        assert_eq!(json["tunes"][0]["errors"], 0, "{tune}\n{}", check.out);
        // Together they have every stroke once; of two notes each has one.
        let strokes = |tune: &str| -> u64 {
            let check = run(folder.path(), &format!("check {tune} --json"));
            let json: serde_json::Value = serde_json::from_str(&check.out).expect("JSON");
            let parts = json["tunes"][0]["parts"].as_array().expect("parts").clone();
            let leads = parts.iter().filter(|part| part["name"].as_str().is_some_and(|name| name.starts_with("lead")));
            leads.map(|part| part["strokes"].as_u64().expect("a number")).sum()
        };
        assert_eq!(strokes("two.tune"), strokes("jam.tune") + if way == "notes" { 2 } else { 0 });
    }
    let wrong = run(folder.path(), "share jam.tune --part bass --way notes");
    assert_eq!(wrong.code, Some(2));
    assert!(wrong.err.contains("can't be shared so"), "{}", wrong.err);
}

#[test]
fn a_level_in_the_band_file_counts() {
    let folder = busy();
    let band = folder.path().join("band.toml");
    let text = fs::read_to_string(&band).unwrap();
    fs::write(&band, text.replace("layout = \"lead-c\"", "layout = \"lead-c\"\nlevel = \"beginner\"")).unwrap();
    let done = run(folder.path(), "check jam.tune");
    assert_eq!(done.code, Some(0));
    assert!(done.out.contains("warning[too-fast]"), "{}", done.out);
    assert!(done.out.contains("for a beginner"), "{}", done.out);
    fs::write(&band, text.replace("layout = \"lead-c\"", "layout = \"lead-c\"\nlevel = \"begginer\"")).unwrap();
    let wrong = run(folder.path(), "check jam.tune");
    assert!(wrong.out.contains("did you mean `beginner`?"), "{}", wrong.out);
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
    let pan = band.replace("layout = \"lead-c\"", "layout = \"lead-c\"\nlevel = \"improver\"");
    fs::write(folder.path().join("band.toml"), pan).unwrap();
    let sticks = |more: &str| run(folder.path(), &format!("sticks jam.tune --part lead{more}")).out;
    assert!(sticks("").starts_with("lead on Lead, played by an improver (set for the pan): "), "{}", sticks(""));
    with_levels(folder.path(), "lead = \"beginner\"");
    assert!(sticks("").starts_with("lead on Lead, played by a beginner (set for the part): "), "{}", sticks(""));
    assert!(sticks(" --level improver").starts_with("lead on Lead, played by an improver: "));
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
    assert!(check.contains("for a beginner"), "{check}");
    assert!(!check.contains("mistyped"), "{check}");
}

#[test]
fn a_wrong_level_of_a_part_is_answered_at_its_place() {
    for (levels, what, help) in [
        ("lead = \"begginer\"", "`begginer` is no level", "did you mean `beginner`?"),
        ("lead = \"old hand\"", "`old hand` is no level", "the levels are `beginner`, `improver`, and `experienced`"),
        ("lead = 3", "`lead` is a text in quotes, found a number", "for example `lead = \"…\"`"),
        ("laed = \"beginner\"", "there is a level for `laed`, which is no part of this tune", "did you mean `lead`?"),
    ] {
        let folder = busy();
        with_levels(folder.path(), levels);
        let check = run(folder.path(), "check jam.tune").out;
        assert!(check.contains(what) && check.contains(help), "{levels}: {check}");
        let place = format!("{levels}\n");
        assert!(check.contains("--> band.toml:") && check.contains(&place), "{levels}: {check}");
    }
    // Where a level is used, and a misspelt one was meant, that is told too.
    let folder = busy();
    with_levels(folder.path(), "laed = \"beginner\"");
    for command in ["sticks", "share"] {
        let done = run(folder.path(), &format!("{command} jam.tune --part lead"));
        assert_eq!(done.code, Some(0), "{}", done.err);
        assert!(done.err.contains("there is a level for `laed`") && !done.out.contains("laed"), "{}", done.err);
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
    assert!(check.contains("`levels` is a table") && check.contains("write `[levels]`"), "{check}");
    // A part that is called as a setting of the band.
    for (levels, code) in [("name = \"beginner\"", 0), ("\"level\" = \"beginner\"", 0), ("level = \"beginner\"", 1)] {
        let folder = busy();
        with_levels(folder.path(), levels);
        assert_eq!(run(folder.path(), "check jam.tune").code, Some(code), "{levels}");
    }
}
