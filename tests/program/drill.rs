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
