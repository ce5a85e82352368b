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

/// A tune in another file, which the lead and the iron of the small band play.
const OTHER: &str = "title Other\nband band.toml\n\npart lead on lead\npart iron on iron\n\nsection a\n  lead | C5 | D5 |\n  \
                     iron | x x | x x |\n";

#[test]
fn sizes_and_papers() {
    let folder = small();
    let sheet = |arguments: &str| {
        let done = run(folder.path(), &format!("sheet jam.tune --part lead -o s.svg {arguments}"));
        assert_eq!(done.code, Some(0), "{}", done.err);
        let first = if done.err.starts_with("wrote s.svg") { "s.svg" } else { "s-1.svg" };
        let text = std::fs::read_to_string(folder.path().join(first)).expect("the file");
        let (_, size) = text.split_once(" width=\"").expect("a size");
        size.split('>').next().unwrap_or_default().to_owned()
    };
    assert_eq!(sheet(""), "595.28pt\" height=\"841.89pt\"");
    assert_eq!(sheet("--size stand --paper a3"), "841.89pt\" height=\"1190.55pt\"");
    assert_eq!(sheet("--size wall"), "841.89pt\" height=\"595.28pt\"", "on its side");
    assert_eq!(sheet("--size wall --paper tabloid"), "1224pt\" height=\"792pt\"");
    let wrong = run(folder.path(), "sheet jam.tune --size huge");
    assert!(wrong.code == Some(2) && says(&wrong.err, "hand") && says(&wrong.err, "wall"), "{}", wrong.err);
    let alone = run(folder.path(), "sheet --pan lead-c --size wall");
    assert_eq!(alone.code, Some(2), "a pan alone is as large as its paper");
}

#[test]
fn what_repeats_stands_once() {
    let bars = ["x . x x"; 8].join(" | ");
    let tune = format!("title Again\nband band.toml\n\npart iron on iron\n\nsection a\n  iron | {bars} | x x x x |\n");
    let folder = small_with(&[("again.tune", &tune)]);
    assert_eq!(run(folder.path(), "sheet again.tune --part iron -o again.svg").code, Some(0));
    let sheet = std::fs::read_to_string(folder.path().join("again.svg")).expect("the file");
    assert!(sheet.contains(">same bar<") && sheet.contains(">× 8<"), "{sheet}");
    // Bars 1 and 9 are drawn, and their numbers stand below them.
    assert_eq!(sheet.matches("data-bar=\"0\"").count(), 8);
    assert_eq!((sheet.matches("data-bar=\"1\"").count(), sheet.matches("data-bar=\"8\"").count()), (0, 8));
    assert!(sheet.contains(">9</text>"));
    assert!(sheet.contains("× after bars: how often they are played"));
}

#[test]
fn a_booklet_has_all_tunes_of_a_player() {
    let folder = small_with(&[("other.tune", OTHER)]);
    let done = run(folder.path(), "sheet jam.tune other.tune --booklet Lead --json");
    assert_eq!((done.code, done.err.lines().last()), (Some(0), Some("wrote lead.pdf: 3 pages")), "{}", done.err);
    let json: serde_json::Value = serde_json::from_str(&done.out).expect("JSON");
    let booklet = &json["booklets"][0];
    assert_eq!((&booklet["player"], &booklet["pages"]), (&"Lead".into(), &3.into()));
    assert_eq!(booklet["files"], serde_json::json!(["lead.pdf"]));
    let contents = booklet["contents"].as_array().expect("a list");
    let of = |i: usize| (contents[i]["tune"].as_str(), contents[i]["page"].as_u64(), contents[i]["pan"].as_str());
    assert_eq!((of(0), of(1)), ((Some("Jam"), Some(2), Some("Lead")), (Some("Other"), Some(3), Some("Lead"))));
    // The order is the one in which they are named.
    let done = run(folder.path(), "sheet other.tune jam.tune --booklet Lead --json -o again.svg");
    let json: serde_json::Value = serde_json::from_str(&done.out).expect("JSON");
    assert_eq!(json["booklets"][0]["contents"][0]["tune"], "Other");
    assert_eq!(json["booklets"][0]["files"], serde_json::json!(["again-1.svg", "again-2.svg", "again-3.svg"]));
    let front = std::fs::read_to_string(folder.path().join("again-1.svg")).expect("the file");
    assert!(front.contains(">Lead<") && front.contains(">Other<") && front.contains(">Jam<"), "{front}");
}

#[test]
fn everybody_gets_a_booklet() {
    let folder = small_with(&[("other.tune", OTHER)]);
    let done = run(folder.path(), "sheet jam.tune other.tune --booklets -o books/");
    assert_eq!(done.code, Some(0), "{}", done.err);
    let names = listing(&folder.path().join("books"));
    assert_eq!(names.len(), done.err.lines().filter(|line| line.starts_with("wrote ")).count(), "{names:?}");
    assert!(names.contains(&"lead.pdf".to_owned()) && names.len() == 3, "{names:?}");
    let one = run(folder.path(), "sheet jam.tune other.tune --booklets -o books.pdf");
    assert!(one.code == Some(2) && says(&one.err, "3 booklets can't go into one file, `books.pdf`"), "{}", one.err);
    assert!(says(&one.err, "-o books/"), "{}", one.err);
}

#[test]
fn a_booklet_is_written_whole_or_not_at_all() {
    let broken = "title Broken\nband band.toml\n\npart lead on lead\n\nsection a\n  lead | H5 |\n";
    let folder = small_with(&[("other.tune", OTHER), ("broken.tune", broken)]);
    let before = listing(folder.path());
    let told = |arguments: &str| {
        let done = run(folder.path(), arguments);
        assert_eq!((done.code, done.out.as_str()), (Some(2), ""), "{arguments}");
        assert_eq!(listing(folder.path()), before, "{arguments}");
        done.err
    };
    assert!(says(&told("sheet jam.tune broken.tune --booklet Lead"), "broken.tune, line 7"));
    let err = told("sheet jam.tune --booklet Laed");
    assert!(says(&err, "the band has no player `Laed`") && says(&err, "did you mean `Lead`?"), "{err}");
    let err = told("sheet jam.tune --booklet Lead --size wall");
    assert!(says(&err, "can't be as large as for a wall") && says(&err, "--size stand"), "{err}");
    assert!(says(&told("sheet jam.tune --booklet Lead -o lead.png"), "ends in neither"));
    let err = told("sheet jam.tune --booklet Lead --part lead");
    assert!(says(&err, "--booklet") && says(&err, "--part"), "{err}");
    // Of several booklets none is written where one may not be.
    std::fs::create_dir(folder.path().join("books")).expect("a folder");
    std::fs::write(folder.path().join("books/lead.pdf"), "mine").expect("a file");
    let done = run(folder.path(), "sheet jam.tune other.tune --booklets -o books");
    assert!(done.code == Some(2) && says(&done.err, "is there already"), "{}", done.err);
    assert_eq!(listing(&folder.path().join("books")), ["lead.pdf"]);
    let idle = run(folder.path(), "sheet other.tune --booklet Six");
    assert!(idle.code == Some(2) && says(&idle.err, "`Six` plays nothing in this tune"), "{}", idle.err);
}

#[test]
fn json_says_what_is_on_which_page() {
    let folder = small_with(&[("other.tune", OTHER)]);
    let json = |arguments: &str| -> serde_json::Value {
        let done = run(folder.path(), arguments);
        assert_eq!(done.code, Some(0), "{}", done.err);
        serde_json::from_str(&done.out).expect("JSON")
    };
    let one = json("sheet other.tune --json");
    assert_eq!((&one["files"], &one["pages"]), (&serde_json::json!(["other.pdf"]), &2.into()));
    assert_eq!(one["sheets"][0], serde_json::json!({"parts": ["lead"], "pan": "Lead", "page": 1, "pages": 1}));
    assert_eq!(one["sheets"][1], serde_json::json!({"parts": ["iron"], "pan": null, "page": 2, "pages": 1}));
    let several = json("sheet jam.tune other.tune -o sheets/ --json");
    assert_eq!(several["tunes"][1]["file"], "other.tune");
    assert_eq!(several["tunes"][1]["pages"], 2);
    let pans = json("sheet --pan band.toml --json");
    assert_eq!((&pans["pages"], &pans["pans"][0]["page"]), (&2.into(), &1.into()));
}
