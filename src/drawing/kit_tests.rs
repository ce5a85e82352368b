//! Several percussion parts of one player on one sheet.

use super::look::Part;
use super::picture::{Form, Item, Picture};
use super::rows::{self, Cell, SectionRows};
use super::sheet::{self, Paper};
use super::{section, strokes, svg};
use crate::kit::{self, ONE_LEAD};
use crate::pan::Instrument;
use crate::tune::Tune;

const HEAD: &str = "title Jam\npart lead on lead\npart kick on kick\npart snare on snare\npart hat on hi-hat\n";
const KIT: [usize; 3] = [1, 2, 3];

fn tune(text: &str) -> Tune {
    kit::tune(ONE_LEAD, &format!("{HEAD}{text}"))
}

/// The rows of a section's bars as text, each after its name.
fn written(section: &SectionRows) -> Vec<String> {
    let sign = |cell: &Cell| match cell {
        Cell::Rest => ".".to_owned(),
        Cell::Held { rolled, .. } => if *rolled { "~" } else { "-" }.to_owned(),
        Cell::Struck { names, accent, .. } => format!("{}{}", names[0].text, if *accent { "!" } else { "" }),
    };
    let bars = section.passages.iter().flat_map(|passage| &passage.bars);
    let cells = |cells: &Vec<Cell>| cells.iter().map(sign).collect::<Vec<_>>().join(" ");
    let row = |(row, label): (&Vec<Cell>, &String)| format!("{label} {}", cells(row));
    bars.flat_map(|bar| bar.rows.iter().zip(&section.labels).map(row).collect::<Vec<_>>()).collect()
}

fn texts(items: &[Item], found: &mut Vec<(Part, String)>) {
    for item in items {
        match item {
            Item::Shape(part, Form::Text(text)) => found.push((*part, text.text.clone())),
            Item::Shape(..) => {}
            Item::Group(group) => texts(&group.items, found),
            Item::Placed { items, .. } => texts(items, found),
        }
    }
}

fn said(page: &Picture) -> Vec<(Part, String)> {
    let mut found = Vec::new();
    texts(&page.items, &mut found);
    found
}

#[test]
fn rows_of_several_parts_are_cut_alike() {
    let tune = tune("section a\n kick | x . . . |\n snare | . x/x . X |\n hat | x x/x x x |\n");
    let rows = rows::rows(&tune, &KIT, None, None);
    assert_eq!(written(&rows[0]), ["kick x . . . . . . .", "snare . . x x . . x! .", "hat x . x x x . x ."]);
    let alone = rows::rows(&tune, &KIT[..1], None, None);
    assert!(alone[0].labels.is_empty(), "one row needs no name");
}

#[test]
fn a_pattern_is_folded_only_where_all_rows_repeat() {
    let tune = tune("section a\n kick | x . | x . | x . | x . |\n snare | . x | . x | . x | x x |\n");
    let rows = rows::rows(&tune, &KIT[..2], None, None);
    let passages: Vec<(usize, usize)> = rows[0].passages.iter().map(|p| (p.bars.len(), p.times)).collect();
    assert_eq!(passages, [(1, 3), (1, 1)]);
}

#[test]
fn a_player_rests_only_where_all_parts_do() {
    let tune = tune("form a b\nsection a\n kick | x |\n lead | C5 |\nsection b\n lead | C5 |\n");
    let rests: Vec<bool> = rows::rows(&tune, &KIT, None, None).iter().map(|section| section.rests).collect();
    assert_eq!(rests, [false, true]);
}

/// One line of bars: every part has its name once, the count, the words and the dynamics stand there once for all of them.
#[test]
fn a_sheet_has_one_count_and_a_named_row_for_each_part() {
    let tune =
        tune("section a\n words | go |\n dynamics | f |\n kick | x . . . |\n snare | . x . X |\n hat | x x x o |\n");
    let pages = sheet::parts(&tune, &KIT, None, None, Paper::A4);
    let said = said(&pages[0]);
    let count = |part: Part, text: &str| said.iter().filter(|(p, t)| *p == part && t == text).count();
    for name in ["kick", "snare", "hat"] {
        assert_eq!(count(Part::Small, name), 1, "{name} before its row");
        assert_eq!(count(Part::Heading, name), 1, "{name} over its strokes");
    }
    assert_eq!((count(Part::Count, "3"), count(Part::Words, "go"), count(Part::Small, "f")), (1, 1, 1));
    assert_eq!(count(Part::Struck, "x"), 1 + 2 + 3);
    assert_eq!(count(Part::Words, "kick, snare, and hat (hi-hat)"), 1);
    assert_eq!(count(Part::Small, "Jam - kick, snare, and hat"), 1);
}

#[test]
fn rows_can_be_told_apart() {
    let tune = tune("section a\n kick | x . |\n snare | . s |\n");
    let rows = rows::rows(&tune, &KIT[..2], None, None);
    let text = svg::element(&section::picture(&rows[0], 400.0));
    assert!(text.contains("data-section=\"0\" data-row=\"0\" data-bar=\"0\" data-at=\"0\" data-mark=\"x\""), "{text}");
    assert!(text.contains("data-section=\"0\" data-row=\"1\" data-bar=\"0\" data-at=\"2\" data-mark=\"s\""), "{text}");
    let kit = svg::element(&strokes::kit(&[("boom", Instrument::Kick), ("side", Instrument::Snare)], 8));
    assert!(kit.contains("id=\"mark-0-x\"") && kit.contains("id=\"mark-1-s\""), "{kit}");
    assert!(kit.contains("data-mark=\"s\" data-row=\"1\""), "{kit}");
}

/// Names of parts may be as long as the notation allows, and a section's as well.
#[test]
fn long_names_stay_on_the_paper() {
    let long = "n".repeat(60);
    let text = format!(
        "part {long} on conga\nform {long}-s b {long}-s\nsection {long}-s\n {long} | x x |\n kick | x . |\nsection b\n tempo 60\n kick | x |\n"
    );
    let tune = tune(&text);
    for page in sheet::parts(&tune, &[1, 2, 3, 4], None, None, Paper::A4) {
        super::tests::edges(&page.items, (0.0, 0.0), 1.0, page.size);
    }
}

#[test]
fn a_heading_says_when_its_section_comes_back() {
    let tune = tune("form a b a\nsection a\n kick | x | x |\nsection b\n tempo 80\n kick | x |\n");
    let pages = sheet::parts(&tune, &[1], None, None, Paper::A4);
    let said = said(&pages[0]);
    let has = |text: &str| said.contains(&(Part::Small, text.to_owned()));
    assert!(
        has("2 bars, comes back after b, then back to 120, bar 1 is bar 1 of the tune, then 4")
            && has("1 bar, tempo 80, bar 1 is bar 3 of the tune"),
        "{said:?}"
    );
}
