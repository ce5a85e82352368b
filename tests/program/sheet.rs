//! `panfold sheet`: parts and pans on paper.

use super::{listing, run, says, small, small_with};

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

/// A folder with the small band, and a tune for a drum set.
fn with_kit() -> tempfile::TempDir {
    let tune = "title Kit\nband band.toml\n\npart lead on lead\npart kick on kick\npart snare on snare\npart iron on iron\n\n\
                section a\n  lead | C5 |\n  kick | x . |\n  snare | . x |\n  iron | x x |\n";
    small_with(&[("kit.tune", tune)])
}

#[test]
fn percussion_parts_of_one_player_share_a_sheet_and_a_page() {
    let folder = with_kit();
    let last = |arguments: &str| {
        let done = run(folder.path(), arguments);
        assert_eq!(done.code, Some(0), "{}", done.err);
        done.err.lines().last().unwrap_or_default().to_owned()
    };
    assert_eq!(last("sheet kit.tune --part kick --part snare"), "wrote kit-kick-snare.pdf: 1 page");
    assert_eq!(last("sheet kit.tune --part snare --part kick --part snare -o s.svg"), "wrote s.svg: 1 page");
    let sheet = std::fs::read_to_string(folder.path().join("s.svg")).expect("the file");
    assert!(sheet.contains(">Kit - snare and kick<"), "in the order that was asked for, each once");
    assert!(last("page kit.tune --part kick --part snare --part iron").starts_with("wrote kit-kick-snare-iron.html: "));
    let page = std::fs::read_to_string(folder.path().join("kit-kick-snare-iron.html")).expect("the file");
    assert!(page.contains("<title>Kit: kick, snare, and iron</title>"));
}

#[test]
fn a_part_on_a_pan_shares_no_sheet() {
    let folder = with_kit();
    let told = |arguments: &str| {
        let done = run(folder.path(), arguments);
        assert_eq!(done.code, Some(2), "{arguments}");
        done.err
    };
    let err = told("sheet kit.tune --part kick --part lead");
    assert!(
        says(&err, "`kick` and `lead` can't share a sheet: `lead` is played on a pan, and only percussion parts can"),
        "{err}"
    );
    assert!(says(&err, "ask for one sheet at a time: `--part kick`"), "{err}");
    let err = told("page jam.tune --part lead --part bass --part iron");
    assert!(
        says(
            &err,
            "`lead`, `bass`, and `iron` can't share a page: `lead` and `bass` are played on pans, and only percussion parts can"
        ),
        "{err}"
    );
    assert!(says(&told("page kit.tune --part kick --part snaer"), "did you mean `snare`?"));
    assert_eq!(listing(folder.path()), ["band.toml", "jam.tune", "kit.tune"]);
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
        "Problem: Sheets are written as PDF or SVG, and `jam.png` ends in neither. (wrong-choice)\n  try: let the name end in \
         `.pdf` or `.svg`\n"
    );
    assert!(says(&told("sheet jam.tune --part laed"), "did you mean `lead`?"));
    assert!(says(&told("sheet jam.tune --pan Lead"), "`--pan` is about one part"));
    assert!(says(&told("sheet jam.tune --part iron --pan Lead"), "the part `iron` is percussion and has no pan"));
    assert!(says(&told("sheet --pan laed-c"), "did you mean `lead-c`?"));
    assert!(says(&told("sheet"), "`TUNE` is missing"));
    assert!(says(&told("sheet jam.tune -o nowhere/jam.pdf"), "its folder is not there"));
    assert_eq!(listing(folder.path()), ["band.toml", "jam.tune"]);
}

/// A player who waits for sixteen bars finds one sign with their number, not sixteen empty bars, and what the sign means.
#[test]
fn bars_of_rest_are_one_sign() {
    let rests = vec!["."; 16].join(" | ");
    let tune = format!(
        "title Wait\nband band.toml\n\npart lead on lead\npart iron on iron\n\nsection a\n  lead | C5 | {rests} | C5 |\n  \
                        iron | x x | {rests} | x x |\n"
    );
    let folder = small_with(&[("wait.tune", &tune)]);
    for part in ["lead", "iron"] {
        let done = run(folder.path(), &format!("sheet wait.tune --part {part} -o {part}.svg"));
        assert_eq!((done.code, done.err.lines().last()), (Some(0), Some(format!("wrote {part}.svg: 1 page").as_str())));
        let sheet = std::fs::read_to_string(folder.path().join(format!("{part}.svg"))).expect("the file");
        assert_eq!(sheet.matches("data-bars=\"16\"").count(), 1, "{part}");
        assert!(sheet.contains(">16<") && sheet.contains("thick line and number: rest for that many bars"), "{part}");
        assert!(!sheet.contains("data-bar=\"2\""), "{part}: no empty cells");
    }
}
