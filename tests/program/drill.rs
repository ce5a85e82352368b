//! `panfold drill`: plans, tracks, and options that don't go together.

use std::fs;

use super::{run, says, small};

#[test]
fn plan_and_track() {
    let folder = small();
    let done = run(&folder, "drill jam.tune --part lead --kind ladder --bars 1-2 --from 80% --step 10% --out a.flac");
    assert_eq!(done.code, Some(0), "{}", done.err);
    insta::assert_snapshot!(done.out, @r"
    0:00  count-in
    0:01  at 80 %
    0:04  at 90 %
    0:06  at 100 %
    0:08  end
    ");
    let bytes = fs::read(folder.path().join("a.flac")).expect("the track");
    let head = String::from_utf8_lossy(&bytes[..1500]);
    assert!(head.starts_with("fLaC") && head.contains("DRILL=0:01 at 80 %") && head.contains("CHAPTER002NAME=at 90 %"));
}

#[test]
fn the_plan_alone_and_as_json() {
    let folder = small();
    let done = run(&folder, "drill jam.tune --part bass --kind chain --json");
    let plan = done.json();
    assert_eq!(plan["steps"][1]["what"], "bars 1 to 2");
    assert_eq!(plan["seconds"], 1.0 + 1.0 + 2.0);
}

#[test]
fn options_of_another_kind_are_told() {
    for (options, expected) in [
        ("--kind echo --times 3", "`--times` does not go with this kind of drill"),
        ("--kind loop --step 5%", "`--step` does not go with this kind of drill"),
        ("--kind loop --by 2", "`--by` goes with `echo` and `chain`"),
        ("--kind loop --bars 60-99", "the tune has 2 bars"),
        ("--section vers", "the tune has no section `vers`"),
    ] {
        let folder = small();
        let done = run(&folder, &format!("drill jam.tune --part lead {options}"));
        assert!(done.code == Some(2) && says(&done.err, expected), "{}", done.err);
    }
}

/// A pickup is bar 0, on the command line, in the plan and in problems, as on sheets.
#[test]
fn a_pickup_is_bar_0() {
    let head = "title Up\nband band.toml\npickup 1\n\npart lead on lead\npart iron on iron\n\n";
    let iron = "  iron | x | x . . . | x . . . | x . . . |\n";
    let tune = format!("{head}section a\n  lead | G4 | C5 . . . | D5 . . . | E5 . . . |\n{iron}");
    let high = format!("{head}section a\n  lead | G4 | C5 . . . | G7 . . . | E5 . . . |\n{iron}");
    let folder = super::small_with(&[("up.tune", &tune), ("high.tune", &high)]);
    let steps = |bars: &str| {
        let done = run(&folder, &format!("drill up.tune --part lead --kind chain --bars {bars} --json"));
        assert_eq!(done.code, Some(0), "{}", done.err);
        let steps = done.json()["steps"].as_array().expect("steps").clone();
        steps.iter().map(|step| step["what"].as_str().unwrap_or_default().to_owned()).collect::<Vec<_>>()
    };
    assert_eq!(steps("0-1"), ["bar 0", "bars 0 to 1"]);
    assert_eq!(steps("2"), ["bar 2"]);
    let beyond = run(&folder, "drill up.tune --part lead --bars 2-4");
    assert!(beyond.code == Some(2) && says(&beyond.err, "the tune has 3 bars"), "{}", beyond.err);
    let none = run(&folder, "drill jam.tune --part lead --bars 0-1");
    assert!(none.code == Some(2) && says(&none.err, "choose bars within it"), "{}", none.err);
    assert!(says(&run(&folder, "check high.tune").out, "high.tune, line 9: bar 2 of a, lead"));
}
