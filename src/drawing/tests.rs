//! Short tunes as rows of cells and as sheets.

use super::comeback;
use super::ink::Theme;
use super::picture::{Form, Item, Picture};
use super::rows::{self, BarCells, Cell, SectionRows};
use super::sheet::{self, Paper};
use super::{section, svg};
use crate::fit::settle::settle;
use crate::kit::{self, Numbers};
use crate::music::Length;
use crate::pan::Pan;
use crate::tune::Tune;
use crate::tune::model::Struck;

const BAND: &str = "name = \"Lantern Quay\"\n[[pan]]\nname = \"Red rim\"\nlayout = \"lead-c\"\nwithout = [\"C#6\"]\n";
const HEAD: &str = "title Sea <Grape> & \"Road\"\npart lead on lead\npart bass on six-bass\npart iron on iron\n";

fn tune(text: &str) -> Tune {
    kit::tune(BAND, &format!("{HEAD}{text}"))
}

/// A tune as far as it is understood, whatever is said of it.
fn understood(text: &str) -> Tune {
    settle(&kit::seated(BAND, &format!("{HEAD}{text}")).0).tune
}

fn pan(tune: &Tune) -> Option<&Pan> {
    tune.band.pans.first().map(|pan| &pan.pan)
}

/// A section as text: a line for the count and one for the cells of every bar.
fn written(section: &SectionRows) -> String {
    let mut out = format!("{} {:?} of {}\n", section.name, section.facts, section.of);
    for passage in &section.passages {
        for bar in &passage.bars {
            out += &bar_written(bar);
        }
        if passage.times > 1 {
            out += &format!("({})\n", comeback::times(passage.times));
        }
    }
    out
}

fn bar_written(bar: &BarCells) -> String {
    let counts: Vec<&str> = bar.beats.iter().flat_map(|beat| &beat.counts).map(String::as_str).collect();
    let cells: Vec<String> = bar.cells().map(cell_written).collect();
    let texts: Vec<&str> = bar.chords.iter().chain(&bar.dynamics).map(|(_, text)| text.as_str()).collect();
    let words = bar.words.as_deref().unwrap_or_default();
    let row = format!("{}   {} {words}", cells.join(" "), texts.join(" "));
    format!("{}\n{}\n", counts.join(" "), row.trim_end())
}

fn cell_written(cell: &Cell) -> String {
    let sign = |yes: bool, sign: &str| if yes { sign.to_owned() } else { String::new() };
    match cell {
        Cell::Rest => ".".to_owned(),
        Cell::Held { rolled, on } => sign(*rolled, "~") + &sign(!rolled, "-") + &sign(*on, ">"),
        Cell::Struck { names, accent, damped, rolled, on } => {
            let names: Vec<String> =
                names.iter().map(|name| format!("{}{}{}", name.text, name.octave, sign(!name.there, "?"))).collect();
            names.join("+") + &sign(*accent, "!") + &sign(*damped, "'") + &sign(*rolled, "~") + &sign(*on, ">")
        }
    }
}

fn all_written(tune: &Tune, part: usize) -> String {
    rows::rows(tune, &[part], pan(tune), None).iter().map(written).collect()
}

#[test]
fn cells_stand_under_their_count() {
    let tune = tune(
        "form b a b x2\nsection a\n chords | C G7 |\n words | all together |\n dynamics | f |\n \
         lead | C5> D5' E5+G#5 . C#6 - - G4 |\nsection b\n meter 3/4\n tempo 60\n lead | C5 - - - - D5/E5 | ~ . . |\n",
    );
    insta::assert_snapshot!(all_written(&tune, 0), @r##"
    b ["3/4", "tempo 60"] of 2
    1 & 2 & 3 e & a
    C5~> ~> ~> ~> ~> ~ D5 E5~>
    1 & 2 & 3 &
    ~> ~ . . . .
    a ["back to 4/4 and 120"] of 1
    1 & 2 & 3 & 4 &
    C5! D5' E5+Ab5 . C#6?> -> - G4   C G7 f all together
    "##);
}

#[test]
fn long_notes_of_pans_roll_and_those_of_basses_last() {
    let tune = tune("section a\n lead | C5 - - - | - - . . |\n bass | C2 - - - | - - . . |\n");
    insta::assert_snapshot!(all_written(&tune, 0) + &all_written(&tune, 1), @r##"
    a [] of 2
    1 & 2 & 3 & 4 &
    C5~> ~> ~> ~> ~> ~> ~> ~>
    1 & 2 & 3 & 4 &
    ~> ~> ~> ~ . . . .
    a [] of 2
    1 & 2 & 3 & 4 &
    C2?> -> -> -> -> -> -> ->
    1 & 2 & 3 & 4 &
    -> -> -> - . . . .
    "##);
}

#[test]
fn patterns_of_percussion_stand_once() {
    let tune = tune(
        "pattern p | X . x x | o . . s |\nsection a\n chords | C | % | % | % | % | % |\n words | go | | | | | |\n iron = play p\n\
         section b\n chords | C | % | % |\n iron | x . x . | x . x . | o . . . |\n",
    );
    insta::assert_snapshot!(all_written(&tune, 2), @r##"
    a [] of 6
    1 & 2 & 3 & 4 &
    x! . . . x . x .    go
    1 & 2 & 3 & 4 &
    o . . . . . s .
    (3 times)
    b [] of 3
    1 & 2 & 3 & 4 &
    x . . . x . . .
    (twice)
    1 & 2 & 3 & 4 &
    o . . . . . . .
    "##);
}

#[test]
fn a_pans_phrases_stand_in_full() {
    let tune = tune("section a\n chords | C | C | G | C |\n lead | C5 . | C5 . | D5 . | C5 . |\n");
    assert_eq!(rows::rows(&tune, &[0], None, None)[0].passages[0].bars.len(), 4);
}

/// Every stroke of a section starts a cell at its own time, and the cells say how long it lasts: the rows say what the tune
/// says, for every bar of random lengths.
#[test]
fn cells_tell_every_stroke_and_its_length() {
    let mut numbers = Numbers(7);
    let signs = ["C5", "E5", "G4+C5", ".", "-", "-", "D5/E5", "F5/G5/A5", "B4>"];
    for _ in 0..60 {
        let bars: Vec<String> = (0..4)
            .map(|_| {
                let cells = [2, 3, 4, 6, 8, 12, 16][numbers.place(7)];
                (0..cells).map(|_| signs[numbers.place(9)]).collect::<Vec<_>>().join(" ")
            })
            .collect();
        let tune = understood(&format!("section a\n lead | {} |\n", bars.join(" | ")));
        let section = &rows::rows(&tune, &[0], pan(&tune), None)[0];
        let row = tune.sections[0].rows[0].as_ref().expect("a row");
        let mut told = Vec::new();
        for passage in &section.passages {
            for bar in (0..passage.times).flat_map(|_| &passage.bars) {
                let starts: Vec<Length> = bar.beats.iter().flat_map(|beat| beat.starts.clone()).collect();
                let ends = starts.iter().skip(1).copied().chain([bar.length]);
                for ((start, end), cell) in starts.iter().zip(ends).zip(&bar.rows[0]) {
                    let length = end - *start;
                    match cell {
                        Cell::Struck { names, .. } => told.push((names.len(), length)),
                        // Before the first stroke it is the section before that goes on.
                        Cell::Held { .. } => {
                            told.last_mut().into_iter().for_each(|stroke: &mut (usize, Length)| stroke.1 += length)
                        }
                        Cell::Rest => {}
                    }
                }
            }
        }
        let written: Vec<(usize, Length)> = row
            .events
            .iter()
            .map(|event| match &event.struck {
                Struck::Notes(notes) => (notes.len(), event.length),
                Struck::Mark(_) => (1, event.length),
            })
            .collect();
        assert_eq!(told, written, "{bars:?}");
    }
}

fn texts(items: &[Item], found: &mut Vec<String>) {
    for item in items {
        match item {
            Item::Shape(_, Form::Text(text)) => found.push(format!("{}{}", text.text, text.small)),
            Item::Shape(..) => {}
            Item::Group(group) => texts(&group.items, found),
            Item::Placed { items, .. } => texts(items, found),
        }
    }
}

fn said(page: &Picture) -> Vec<String> {
    let mut found = Vec::new();
    texts(&page.items, &mut found);
    found
}

#[test]
fn a_long_part_goes_over_pages_and_every_page_says_which_it_is() {
    // No phrase comes twice in a row, so none is folded.
    let last = ["C5", "D5", "E5", "G5", "A5", "B5"].into_iter().cycle();
    let phrase = |last: &str| format!("| C5 . D5 . E5 . F5 . | C5 . D5 . E5 . G5 . | A5 . D5 . E5 . {last} . ");
    let bars: String = last.take(22).map(phrase).collect();
    let bars = bars + "| B5 . . . F5 . . . ";
    let tune = tune(&format!("section a\n lead {bars}|\nsection b\n lead {}|\n", "| C5 ".repeat(3)));
    let pages = sheet::parts(&tune, &[0], pan(&tune), None, Paper::Letter);
    assert_eq!(pages.len(), 2);
    for (i, page) in pages.iter().enumerate() {
        assert_eq!(page.size, (612.0, 792.0));
        let said = said(page);
        assert!(said.contains(&format!("page {} of 2", i + 1)));
        assert!(said.contains(&"Sea <Grape> & \"Road\" - lead".to_owned()));
    }
    let said: Vec<String> = pages.iter().flat_map(said).collect();
    assert_eq!(said.iter().filter(|text| *text == "F5").count(), 23 + 1, "every bar is there, and the note on the pan");
}

#[test]
fn nothing_reaches_into_the_margin_of_a_page() {
    let tune = understood(
        "by somebody with a name that is far too long for a line and goes on and on until it has to be broken somewhere\n\
         form a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a a\n\
         section a\n words | a cue that is far too long for its bar, or for any other bar that anybody could play at once or read in a whole evening of reading |\n \
         lead | C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 . C5 |\n",
    );
    for page in sheet::parts(&tune, &[0], pan(&tune), None, Paper::A4) {
        edges(&page.items, (0.0, 0.0), 1.0, page.size);
    }
}

/// Sees that nothing reaches into the margin of a page.
pub(super) fn edges(items: &[Item], (x, y): (f64, f64), scale: f64, (width, height): (f64, f64)) {
    let inside = |px: f64, py: f64| {
        let (px, py) = (x + scale * px, y + scale * py);
        // Half an inch is left free all round; a line's own width may reach into it.
        assert!((35.0..=width - 35.0).contains(&px) && (35.0..=height - 35.0).contains(&py), "{px} {py}");
    };
    for item in items {
        match item {
            Item::Shape(part, Form::Text(text)) => {
                let bold = part.look(super::State::Plain).is_some_and(|look| look.bold);
                let wide = super::font::Weight::of(bold).width_of(text);
                let left = match text.anchor {
                    super::picture::Anchor::Start => text.at.0,
                    super::picture::Anchor::Middle => text.at.0 - wide / 2.0,
                    super::picture::Anchor::End => text.at.0 - wide,
                };
                inside(left, text.at.1);
                inside(left + wide, text.at.1);
            }
            Item::Shape(_, Form::Rectangle { at, size, .. }) => {
                inside(at.0, at.1);
                inside(at.0 + size.0, at.1 + size.1);
            }
            Item::Shape(_, Form::Line(points)) => points.iter().for_each(|point| inside(point.0, point.1)),
            Item::Shape(_, Form::Ellipse { centre, radii, .. }) => {
                inside(centre.0 - radii.0.min(radii.1), centre.1);
                inside(centre.0 + radii.0.min(radii.1), centre.1);
            }
            Item::Group(group) => edges(&group.items, (x, y), scale, (width, height)),
            Item::Placed { at, scale: by, items } => {
                edges(items, (x + scale * at.0, y + scale * at.1), scale * by, (width, height));
            }
        }
    }
}

#[test]
fn cells_can_be_found_by_their_place_and_time() {
    let tune = tune("section a\n lead | C5 . D5 . | G4+C#6 - . . |\n");
    let rows = rows::rows(&tune, &[0], pan(&tune), None);
    let text = svg::element(&section::picture(&rows[0], 400.0));
    assert!(text.contains("<g class=\"cell\" data-section=\"0\" data-bar=\"0\" data-at=\"2\" data-keys=\"74\">"));
    assert!(
        text.contains("<g class=\"cell absent\" data-section=\"0\" data-bar=\"1\" data-at=\"4\" data-keys=\"67 85\">")
    );
    assert!(text.contains("data-at=\"7/2\""));
}

#[test]
fn what_a_sheet_says_is_text() {
    let tune = understood("section <b>\n words | <script>alert(1)</script> |\n lead | C5 |\n");
    for page in sheet::parts(&tune, &[0], pan(&tune), None, Paper::A4) {
        let text = svg::file(&page, Theme::Light);
        assert!(!text.contains("<script") && !text.contains("<Grape>") && text.contains("Sea &lt;Grape&gt; &amp; "));
    }
}

#[test]
fn a_tune_without_anything_has_a_sheet() {
    let tune = understood("");
    assert_eq!(sheet::parts(&tune, &[0], pan(&tune), None, Paper::A4).len(), 1);
    assert_eq!(sheet::parts(&tune, &[2], None, None, Paper::A4).len(), 1);
}
