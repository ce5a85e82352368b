//! `panfold sheet`: parts and pans on paper.

use super::{listing, run, small};

#[test]
fn a_part_is_printed_under_the_name_of_tune_and_part() {
    let folder = small();
    let done = run(folder.path(), "sheet jam.tune --part lead");
    assert_eq!((done.code, done.out.as_str()), (Some(0), ""), "{}", done.err);
    assert_eq!(done.err, "wrote jam-lead.pdf: 1 page\n");
    let first = std::fs::read(folder.path().join("jam-lead.pdf")).expect("the file");
    assert!(first.starts_with(b"%PDF-") && first.ends_with(b"%%EOF"), "a PDF from its first to its last line");
    run(folder.path(), "sheet jam.tune --part lead -o again.pdf");
    assert!(first == std::fs::read(folder.path().join("again.pdf")).expect("the file"), "the same sheet, other bytes");
}

#[test]
fn all_parts_go_into_one_pdf_and_into_many_svg_files() {
    let folder = small();
    assert_eq!(run(folder.path(), "sheet jam.tune --paper letter").err, "wrote jam.pdf: 3 pages\n");
    let done = run(folder.path(), "sheet jam.tune -o parts.svg");
    assert_eq!(done.err, "wrote parts-1.svg to parts-3.svg: 3 pages\n");
    let names = ["band.toml", "jam.pdf", "jam.tune", "parts-1.svg", "parts-2.svg", "parts-3.svg"];
    assert_eq!(listing(folder.path()), names);
}

#[test]
fn pans_are_printed_alone() {
    let folder = small();
    assert_eq!(run(folder.path(), "sheet --pan seconds").err, "wrote double-second.pdf: 1 page\n");
    assert_eq!(run(folder.path(), "sheet --pan lead-c -o wall.svg").err, "wrote wall.svg: 1 page\n");
    assert_eq!(run(folder.path(), "sheet --pan band.toml").err, "wrote test-band.pdf: 2 pages\n");
}

#[test]
fn what_can_not_be_printed() {
    let folder = small();
    let told = |arguments: &str| {
        let done = run(folder.path(), arguments);
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""), "{arguments}");
        done.err
    };
    assert_eq!(
        told("sheet jam.tune -o jam.png"),
        "error[wrong-choice]: sheets are written as PDF or SVG, and `jam.png` ends in neither\n |\n = help: let the name end \
         in `.pdf` or `.svg`\n"
    );
    assert!(told("sheet jam.tune --part laed").contains("did you mean `lead`?"));
    assert!(told("sheet jam.tune --pan Lead").contains("`--pan` is about one part"));
    assert!(told("sheet jam.tune --part iron --pan Lead").contains("the part `iron` is percussion and has no pan"));
    assert!(told("sheet --pan laed-c").contains("did you mean `lead-c`?"));
    assert!(told("sheet").contains("panfold sheet --pan NAME-or-FILE"));
    assert!(told("sheet jam.tune -o nowhere/jam.pdf").contains("its folder is not there"));
    assert_eq!(listing(folder.path()), ["band.toml", "jam.tune"]);
}
