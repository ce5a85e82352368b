//! `panfold pans`: layouts, pan files and band files shown.

use super::{here, run, says, small};

#[test]
fn every_layout_can_be_shown_copied_and_read() {
    let list = run(".", "pans --json");
    let list = list.json();
    let folder = small();
    let layouts = list["pans"].as_array().expect("a list");
    assert!(layouts.len() >= 11, "{}", layouts.len());
    for layout in layouts {
        let name = layout["name"].as_str().expect("a name");
        let shown = run(".", &format!("pans {name}"));
        assert_eq!(shown.code, Some(0), "{}", shown.err);
        let file = run(".", &format!("pans {name} --file"));
        std::fs::write(folder.path().join("copy.toml"), &file.out).expect("a file");
        assert_eq!(run(folder.path(), "pans copy.toml").out, shown.out, "{name}");
    }
}

#[test]
fn a_band_shows_all_its_pans() {
    let done = run(here("broken/tunes"), "pans band.toml");
    assert_eq!((done.code, done.err.as_str()), (Some(0), ""));
    assert!(says(&done.out, "Short lead") && says(&done.out, "Six"), "{}", done.out);
}

#[test]
fn a_name_that_is_not_there() {
    let done = run(".", "pans laed-c");
    assert_eq!((done.code, done.out.as_str()), (Some(2), ""));
    assert!(says(&done.err, "did you mean `lead-c`?"), "{}", done.err);
}
