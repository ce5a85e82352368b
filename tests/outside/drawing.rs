//! Drawings as an independent XML reader sees them (roxmltree), and their notes as the layouts' sources give them.

use std::collections::BTreeSet;

use panfold::drawing::face::{Options, face};
use panfold::drawing::ink::Theme;
use panfold::drawing::{poster, sheet, strokes, svg};
use panfold::pan::{Instrument, Pan, layout, layouts};
use roxmltree::{Document, Node};

use crate::kit;

/// Reads a drawing and checks what holds for all: it is XML, its ids are unique, all its numbers are numbers.
fn read(text: &str) -> Document<'_> {
    let document = Document::parse(text).expect("well-formed XML");
    let mut ids = BTreeSet::new();
    for node in document.descendants() {
        if let Some(id) = node.attribute("id") {
            assert!(ids.insert(id), "the id {id} twice");
        }
        for name in ["x", "y", "cx", "cy", "rx", "ry", "width", "height", "font-size"] {
            let Some(value) = node.attribute(name) else { continue };
            let number: f64 = value.trim_end_matches("pt").parse().unwrap_or_else(|_| panic!("{name}=\"{value}\""));
            assert!(number.is_finite());
        }
    }
    document
}

fn has_class(node: &Node, class: &str) -> bool {
    node.attribute("class").is_some_and(|classes| classes.split(' ').any(|word| word == class))
}

/// The names in a drawing's notes, put together from their parts.
fn names(document: &Document) -> BTreeSet<String> {
    let notes = document.descendants().filter(|node| has_class(node, "note"));
    let name = |note: Node| {
        let text = note.children().find(|node| has_class(node, "name")).expect("a name");
        text.descendants().filter(Node::is_text).filter_map(|node| node.text().map(str::to_owned)).collect::<String>()
    };
    notes.map(name).collect()
}

#[test]
fn every_layout_is_xml_with_every_note_named() {
    for pan in layouts() {
        for theme in [Theme::Light, Theme::Dark] {
            let text = svg::file(&face(pan, &Options::default()), theme);
            let expected: BTreeSet<String> = pan.notes().map(|(_, note)| note.name.to_string()).collect();
            assert_eq!(names(&read(&text)), expected, "{}", pan.name);
        }
        for page in poster::pan(pan, &Options::default(), sheet::Paper::A4) {
            read(&svg::file(&page, Theme::Light));
        }
    }
    for instrument in Instrument::ALL {
        read(&svg::file(&strokes(instrument), Theme::Light));
    }
}

/// A4 is 210 by 297 mm (ISO 216), US letter 8.5 by 11 inches; a point is 1/72 inch.
#[test]
fn paper_has_its_standard_size() {
    let size = |paper| {
        let lead = layout("lead-c").expect("a layout");
        let text = svg::file(&poster::pan(lead, &Options::default(), paper)[0], Theme::Light);
        let document = read(&text);
        ["width", "height"].map(|name| document.root_element().attribute(name).map(str::to_owned).unwrap_or_default())
    };
    assert_eq!(size(sheet::Paper::A4), ["595.28pt", "841.89pt"]);
    assert_eq!(size(sheet::Paper::Letter), ["612pt", "792pt"]);
}

/// A name, as an owner may write it, stays text: the markup that it looks like is not in the drawing.
#[test]
fn hostile_names_stay_text() {
    let mut pan: Pan = layout("lead-c").expect("a layout").clone();
    pan.name = "</title><script>alert('1')</script>\u{0} & \"R\u{ffff}\"".to_owned();
    pan.title = "<style>*{display:none}</style>".to_owned();
    let text = svg::file(&face(&pan, &Options::default()), Theme::Light);
    let document = read(&text);
    assert!(!document.descendants().any(|node| node.has_tag_name("script")));
    assert_eq!(document.descendants().filter(|node| node.tag_name().name() == "style").count(), 1, "only our own");
}

/// A reader of the sheet finds every bar of the section once: in cells, or in the number of a long rest; and that number is written
/// in the sign (multi-bar rests: common practice, no source).
#[test]
fn cells_and_long_rests_are_all_the_bars() {
    let rests = |count: usize| vec!["."; count].join(" | ");
    let row = format!("C5 . D5 . | {} | E5 | . | F5 | {}", rests(11), rests(3));
    let text = format!(
        "title Long\npart lead on lead\nsection a\n words | | | | | | now | | | | | | | | | | | | |\n lead | {row} |\n"
    );
    let tune = kit::tune(&kit::pans(&[("Lead", "lead-c")]), &text);
    let pages = sheet::parts(&tune, &[0], Some(&tune.band.pans[0].pan), None, sheet::Paper::A4);
    let mut bars: Vec<usize> = Vec::new();
    let mut signs: Vec<(usize, String)> = Vec::new();
    for page in &pages {
        let text = svg::file(page, Theme::Light);
        let document = read(&text);
        let number = |node: &Node, name: &str| node.attribute(name).and_then(|text| text.parse::<usize>().ok());
        for node in document.descendants() {
            let Some(first) = number(&node, "data-bar") else { continue };
            match number(&node, "data-bars") {
                Some(count) => {
                    bars.extend(first..first + count);
                    let texts = node.descendants().filter(|node| has_class(node, "heading"));
                    signs.push((count, texts.filter_map(|node| node.text()).collect()));
                }
                None if bars.last() != Some(&first) => bars.push(first),
                None => {}
            }
        }
    }
    assert_eq!(bars, (0..18).collect::<Vec<_>>());
    assert_eq!(signs, [(4, "4".to_owned()), (7, "7".to_owned()), (3, "3".to_owned())]);
}
