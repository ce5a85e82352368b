//! `panfold page`: practice pages.

use super::{listing, run, says, small};

#[test]
fn a_page_is_written_under_the_name_of_tune_and_part() {
    let folder = small();
    let done = run(folder.path(), "page jam.tune --part lead");
    assert_eq!((done.code, done.out.as_str()), (Some(0), ""), "{}", done.err);
    assert!(done.err.starts_with("wrote jam-lead.html: ") && done.err.ends_with(" kB\n"), "{}", done.err);
    let page = std::fs::read_to_string(folder.path().join("jam-lead.html")).expect("the file");
    assert!(
        page.starts_with("<!doctype html>") && page.ends_with("</html>\n"),
        "a page from its first to its last line"
    );
    assert!(page.contains("<title>Jam: lead</title>") && page.contains("85 dBA"));
    run(folder.path(), "page jam.tune --part lead -o again.html");
    assert!(
        page == std::fs::read_to_string(folder.path().join("again.html")).expect("the file"),
        "the same page, other bytes"
    );
}

#[test]
fn percussion_has_a_page_too() {
    let folder = small();
    assert_eq!(run(folder.path(), "page jam.tune --part iron -o iron.html").code, Some(0));
    let page = std::fs::read_to_string(folder.path().join("iron.html")).expect("the file");
    assert!(page.contains("data-mark=\"x\""), "the strokes are drawn");
}

#[test]
fn what_can_not_be_written() {
    let folder = small();
    let told = |arguments: &str| {
        let done = run(folder.path(), arguments);
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""), "{arguments}");
        done.err
    };
    assert!(says(&told("page jam.tune --part lead -o jam.pdf"), "let the name end in `.html`"));
    assert!(says(&told("page jam.tune --part laed"), "did you mean `lead`?"));
    assert!(says(&told("page jam.tune --part iron --pan Lead"), "the part `iron` is percussion and has no pan"));
    assert!(says(&told("page jam.tune"), "`--part PART` is missing"));
    assert!(says(&told("page jam.tune --part lead -o nowhere/jam.html"), "its folder is not there"));
    assert_eq!(listing(folder.path()), ["band.toml", "jam.tune"]);
}
