//! Sheets in all sizes, folds, bar numbers, pages, posters and booklets.

use super::booklet::{Entry, booklet};
use super::face::{self};
use super::picture::{Form, Item, Picture, Text};
use super::poster;
use super::rows::{self, SectionRows};
use super::section;
use super::sheet::{self, Format, Paper, Size};
use crate::fit::settle::settle;
use crate::kit::{self, Numbers, ONE_LEAD};
use crate::pan::layouts;
use crate::tune::Tune;

const HEAD: &str = "title Jam\npart lead on lead\npart iron on iron\n";
const PAPERS: [Paper; 4] = [Paper::A4, Paper::A3, Paper::Letter, Paper::Tabloid];

fn tune(text: &str) -> Tune {
    kit::tune(ONE_LEAD, &format!("{HEAD}{text}"))
}

/// A tune as far as it is understood, whatever is said of it.
fn understood(text: &str) -> Tune {
    settle(&kit::seated(ONE_LEAD, &format!("{HEAD}{text}")).0).tune
}

fn printed(tune: &Tune, part: usize) -> Vec<SectionRows> {
    rows::rows(tune, &[part], None, None).iter().map(section::printed).collect()
}

/// How often which bars are printed: `1-2 x3, 7`, with the numbers that stand below them.
fn folds(text: &str, part: usize) -> String {
    let sections = printed(&tune(text), part);
    let passage = |section: &SectionRows, passage: &rows::Passage| {
        let number = |bar: &rows::BarCells| bar.number + section.first;
        let (first, last) = (number(&passage.bars[0]), number(passage.bars.last().expect("a bar")));
        let bars = if first == last { first.to_string() } else { format!("{first}-{last}") };
        if passage.times > 1 { format!("{bars} x{}", passage.times) } else { bars }
    };
    let section =
        |section: &SectionRows| section.passages.iter().map(|p| passage(section, p)).collect::<Vec<_>>().join(", ");
    sections.iter().map(section).collect::<Vec<_>>().join("; ")
}

/// Every text of a page with its size on paper and its left end, wherever it stands.
fn texts(items: &[Item], (x, scale): (f64, f64), found: &mut Vec<(Text, f64, f64)>) {
    for item in items {
        match item {
            Item::Shape(_, Form::Text(text)) => found.push((text.clone(), scale * text.size, x + scale * text.at.0)),
            Item::Shape(..) => {}
            Item::Group(group) => texts(&group.items, (x, scale), found),
            Item::Placed { at, scale: by, items } => texts(items, (x + scale * at.0, scale * by), found),
        }
    }
}

fn said(page: &Picture) -> Vec<(Text, f64, f64)> {
    let mut found = Vec::new();
    texts(&page.items, (0.0, 1.0), &mut found);
    found
}

/// The names in the cells of a page: groups of the class `cell`.
fn cells(items: &[Item], scale: f64, found: &mut Vec<(Text, f64)>) {
    for item in items {
        match item {
            Item::Group(group) if group.class == "cell" => {
                let mut all = Vec::new();
                texts(&group.items, (0.0, scale), &mut all);
                let names = all.into_iter().filter(|(text, ..)| !text.small.is_empty());
                found.extend(names.map(|(text, size, _)| (text, size)));
            }
            Item::Shape(..) => {}
            Item::Group(group) => cells(&group.items, scale, found),
            Item::Placed { scale: by, items, .. } => cells(items, scale * by, found),
        }
    }
}

#[test]
fn bars_that_come_again_stand_once() {
    let again = |bar: &str, times: usize| vec![bar; times].join("| ");
    let iron = |bars: String| folds(&format!("section a\n iron | {bars} |\n"), 1);
    assert_eq!(iron(again("x . x x ", 8)), "1 x8");
    assert_eq!(iron(again("x . | . x ", 4)), "1-2 x4");
    assert_eq!(iron(format!("x x | {} | . x", again("x . ", 3))), "1, 2 x3, 5");
    // A phrase of four bars whose last bar is another one.
    assert_eq!(iron(again("x . | x . | x . | x x ", 2)), "1-4 x2");
    let lead = |bars: &str| folds(&format!("section a\n lead | {bars} |\n"), 0);
    assert_eq!(lead("C5 . | C5 . | D5 . | E5 ."), "1-4", "one bar saved hides a phrase");
    assert_eq!(lead("C5 . | C5 . | C5 . | E5 ."), "1 x3, 4");
    assert_eq!(lead("C5 . | D5 . | C5 . | D5 . | E5 ."), "1-2 x2, 5");
}

#[test]
fn a_fold_hides_nothing() {
    let chords = |chords: &str| folds(&format!("section a\n chords | {chords} |\n lead | C5 | C5 | C5 |\n"), 0);
    assert_eq!(chords("C | % | %"), "1 x3");
    assert_eq!(chords("C | C | C"), "1 x3", "the same chord written again");
    assert_eq!(chords("C | F | C"), "1-3");
    let words = "section a\n words | go | | louder | | | |\n lead | C5 | C5 | C5 | C5 | C5 | C5 |\n";
    assert_eq!(folds(words, 0), "1-2, 3 x4", "a cue stands over its own bar");
    assert_eq!(folds("section a\n dynamics | p | - | f | - |\n iron | x | x | x | x |\n", 1), "1 x2, 3 x2");
}

/// Whatever is folded, playing it out gives every bar again, in order.
#[test]
fn no_bar_is_lost_in_a_fold() {
    let mut numbers = Numbers(5);
    for _ in 0..200 {
        let kinds = 2 + numbers.place(3);
        let bars: Vec<&str> = (0..16).map(|_| ["x .", ". x", "x x", "."][numbers.place(kinds)]).collect();
        let tune = tune(&format!("section a\n iron | {} |\n", bars.join(" | ")));
        let whole = rows::rows(&tune, &[1], None, None)[0].unfolded();
        let folded = printed(&tune, 1)[0].unfolded();
        let played =
            |bars: &[rows::BarCells]| bars.iter().map(|bar| (bar.number, bar.rows.clone())).collect::<Vec<_>>();
        assert_eq!(played(&whole), played(&folded), "{bars:?}");
    }
}

#[test]
fn bars_are_numbered_in_the_section_and_in_the_tune() {
    let text = "pickup 1\nform a b x2 a\nsection a\n lead | G5 | C5 . . . | D5 . . . |\nsection b\n lead | E5 . . . | F5 . . . |\n";
    let tune = understood(text);
    let sections = printed(&tune, 0);
    assert_eq!(sections.iter().map(|section| section.first).collect::<Vec<_>>(), [0, 1], "a pickup is bar 0");
    // Played: 0 1 2, 3 4, 5 6, 7 (the pickup again) 8 9.
    assert_eq!(sections[0].begins, [1, 8]);
    assert_eq!(sections[1].begins, [3, 5]);
    let pages = sheet::parts(&tune, &[0], None, None, Paper::A4);
    let said: Vec<String> = said(&pages[0]).into_iter().map(|(text, ..)| text.text).collect();
    assert!(said.iter().any(|text| text.ends_with("bar 1 is bar 3 of the tune, then 5")), "{said:?}");
    assert!(said.contains(&"0".to_owned()));
}

#[test]
fn dynamics_stand_where_they_change() {
    let marks = |form: &str, dynamics: &str| {
        let text = format!(
            "form {form}\nsection a\n dynamics | mf | mf | - |\n lead | C5 | D5 | E5 |\nsection b\n dynamics | {dynamics} |\n lead | E5 | F5 |\n"
        );
        let one = |section: &SectionRows| {
            let marks = section.unfolded().into_iter().flat_map(|bar| bar.dynamics);
            marks.map(|(_, mark)| mark).collect::<Vec<_>>().join(" ")
        };
        printed(&tune(&text), 0).iter().map(one).collect::<Vec<_>>()
    };
    assert_eq!(marks("a b", "mf | -"), ["mf", ""]);
    assert_eq!(marks("a b", "f | -"), ["mf", "f"]);
    assert_eq!(marks("a b x2", "mf | f"), ["mf", "mf f"], "the second time it comes after f");
    assert_eq!(marks("b a", "< | -"), ["getting louder", "mf"]);
}

/// Names and octaves are as large as the size promises, on every paper, and nothing reaches into the margin.
#[test]
fn names_are_as_large_as_the_size_says() {
    let bars = "| C#5 . D5 . F#5 . G5 A5 | C5 - - - D5/E5 F#5/G#5 A5 C#5/D#5/F#5/G#5 | D5> E5' . . G5 . . .";
    let tune = tune(&format!("form a b a\nsection a\n lead {} |\nsection b\n lead {bars} |\n", bars.repeat(7)));
    for paper in PAPERS {
        for (size, octave) in Size::ALL.into_iter().zip([8.0, 11.0, 20.0]) {
            let pages = sheet::parts(&tune, &[0], None, None, Format { paper, size });
            let mut names = Vec::new();
            for page in &pages {
                super::tests::edges(&page.items, (0.0, 0.0), 1.0, page.size);
                cells(&page.items, 1.0, &mut names);
                assert_eq!(page.size.0 > page.size.1, size == Size::Wall);
            }
            assert!(names.len() > 30, "{paper:?} {size:?}");
            for (text, letters) in names {
                assert!(letters >= size.name() - 0.01, "{paper:?} {size:?}: {} in {letters}", text.text);
                assert!(text.share * letters >= octave - 0.01, "{paper:?} {size:?}: {} in {letters}", text.text);
            }
        }
    }
}

/// A bar that is wider than the paper goes on in the next line, and has one number.
#[test]
fn a_wide_bar_is_cut_at_beats() {
    let tune = tune("section a\n lead | C#5 D#5 F#5 G#5 C#5 D#5 F#5 G#5 C#5 D#5 F#5 G#5 C#5 D#5 F#5 G#5 |\n");
    let pages = sheet::parts(&tune, &[0], None, None, Format { paper: Paper::A4, size: Size::Wall });
    let mut names = Vec::new();
    pages.iter().for_each(|page| cells(&page.items, 1.0, &mut names));
    assert_eq!(names.len(), 16);
    let numbers =
        pages.iter().flat_map(said).filter(|(text, size, _)| text.text == "1" && text.size == 8.0 && *size > 8.0);
    assert_eq!(numbers.count(), 1);
}

/// Names on a poster are larger than on a pan that leaves room for sticks, on every layout.
#[test]
fn a_poster_has_large_names() {
    let least = |page: &Picture| {
        let names = said(page).into_iter().filter(|(text, ..)| !text.small.is_empty());
        names.map(|(_, size, _)| size).fold(f64::INFINITY, f64::min)
    };
    for pan in layouts() {
        let small = least(&poster::pan(pan, &face::Options::default(), Paper::A4)[0]);
        let large = least(&poster::pan(pan, &face::Options::default(), Paper::A3)[0]);
        assert!(small >= 12.0 && large >= 1.35 * small, "{}: {small} and {large}", pan.name);
        for paper in PAPERS {
            for page in poster::pan(pan, &face::Options::default(), paper) {
                super::tests::edges(&page.items, (0.0, 0.0), 1.0, page.size);
            }
        }
    }
}

#[test]
fn a_booklet_has_contents_that_are_right() {
    let last = ["C5", "D5", "E5", "G5", "A5", "B5", "F5"].into_iter().cycle();
    let bars: Vec<String> =
        last.take(70).map(|last| format!("C5 . D5 . E5 . {last} . | G5 . D5 . E5 D5 C5 .")).collect();
    let long = tune(&format!("section a\n lead | {} |\n", bars.join(" | ")));
    let short = tune("section b\n lead | C5 | D5 |\n iron | x | . |\n");
    let pan = Some(&long.band.pans[0].pan);
    let entry = |tune, parts: &[usize], pan| Entry { tune, parts: parts.to_vec(), pan, sticks: None };
    let entries = [entry(&long, &[0], pan), entry(&short, &[0], pan), entry(&short, &[1], None)];
    for size in [Size::Hand, Size::Stand] {
        let made = booklet("Ida", "Lantern Quay", &entries, Format { paper: Paper::A4, size });
        let of = made.pages.len();
        let (first, pages) = made.entries[0];
        assert!(first == 2 && pages > 1, "{size:?}");
        assert_eq!(made.entries.iter().map(|(_, pages)| pages).sum::<usize>() + 1, of);
        let contents: Vec<String> = said(&made.pages[0]).into_iter().map(|(text, ..)| text.text).collect();
        for (page, _) in &made.entries {
            assert!(contents.contains(&page.to_string()), "{contents:?}");
        }
        for (i, page) in made.pages.iter().enumerate() {
            super::tests::edges(&page.items, (0.0, 0.0), 1.0, page.size);
            let all = said(page);
            let number =
                all.iter().find(|(text, ..)| text.text == format!("page {} of {of}", i + 1)).expect("a number");
            let is_left = i % 2 == 1;
            assert_eq!(number.2 < page.size.0 / 2.0, is_left, "the number stands outside");
            let left = all.iter().map(|(_, _, left)| *left).fold(f64::INFINITY, f64::min);
            assert_eq!(left > 55.0, !is_left, "the margin is wider at the fold: {left}");
        }
    }
}

/// Pages are filled evenly: none is less than half full but the last, and a short rest of a sheet takes no page of its own.
#[test]
fn pages_are_full() {
    let mut numbers = Numbers(11);
    for _ in 0..12 {
        let names = ["C5", "D5", "E5", "F#5", "G5", ".", "-"];
        let bar = |numbers: &mut Numbers| (0..8).map(|_| names[numbers.place(7)]).collect::<Vec<_>>().join(" ");
        let sections = 2 + numbers.place(6);
        let mut text = String::new();
        for section in 0..sections {
            let bars: Vec<String> = (0..4 * (1 + numbers.place(4))).map(|_| bar(&mut numbers)).collect();
            text += &format!("section s{section}\n lead | C5 | {} |\n", bars.join(" | "));
        }
        let tune = understood(&text);
        let pan = Some(&tune.band.pans[0].pan);
        for size in Size::ALL {
            let pages = sheet::parts(&tune, &[0], pan, None, Format { paper: Paper::A4, size });
            for page in &pages[..pages.len() - 1] {
                let full = lowest(&page.items, 0.0, 1.0, page.size.1 - 60.0) / (page.size.1 - 92.0);
                assert!(full > 0.48, "{size:?}: {full} of a page in {text}");
            }
        }
    }
}

/// The lowest end of a text or rectangle above a height.
fn lowest(items: &[Item], y: f64, scale: f64, above: f64) -> f64 {
    let one = |item: &Item| match item {
        Item::Shape(_, Form::Text(text)) => y + scale * text.at.1,
        Item::Shape(_, Form::Rectangle { at, size, .. }) => y + scale * (at.1 + size.1),
        Item::Shape(_, Form::Ellipse { centre, radii, .. }) => y + scale * (centre.1 + radii.1),
        Item::Shape(..) => 0.0,
        Item::Group(group) => lowest(&group.items, y, scale, above),
        Item::Placed { at, scale: by, items } => lowest(items, y + scale * at.1, scale * by, above),
    };
    items.iter().map(one).filter(|lowest| *lowest < above).fold(0.0, f64::max)
}
