//! Long rests on sheets: where they begin, where they are cut, and that no bar is lost.

use super::ink::Theme;
use super::look::Part;
use super::picture::{Form, Item};
use super::rests::stretches;
use super::rows::{self, SectionRows};
use super::sheet::{self, Paper};
use super::{section, svg};
use crate::kit::{self, Numbers, ONE_LEAD};
use crate::tune::Tune;

const HEAD: &str = "title Jam\npart lead on lead\npart kick on kick\npart snare on snare\n";
const KIT: [usize; 2] = [1, 2];

fn tune(text: &str) -> Tune {
    kit::tune(ONE_LEAD, &format!("{HEAD}{text}"))
}

/// The measures of each section: a bar by its number, a long rest by its first bar and how many it is for; what stands over them.
fn drawn(tune: &Tune, parts: &[usize]) -> Vec<String> {
    rows::rows(tune, parts, None, None).iter().map(measures).collect()
}

fn measures(section: &SectionRows) -> String {
    let mut out: Vec<String> = Vec::new();
    for stretch in stretches(section) {
        for measure in &stretch.measures {
            let (bar, first) = (&measure.bar, measure.bar.number + 1);
            let texts =
                bar.chords.iter().chain(&bar.dynamics).map(|(_, text)| text.as_str()).chain(bar.words.as_deref());
            let texts: String = texts.map(|text| format!("({text})")).collect();
            out.push(match measure.rests {
                Some(bars) => format!("{first}-{}{texts}", first + bars - 1),
                None => format!("{first}{texts}"),
            });
        }
        if stretch.times > 1 {
            out.push(format!("x{}", stretch.times));
        }
    }
    out.join(" ")
}

/// So many bars of rests.
fn rests(count: usize) -> String {
    vec!["."; count].join(" | ")
}

#[test]
fn rests_of_several_bars_are_one_sign() {
    let text = format!("section a\n lead | C5 | {} | C5 | . | D5 | {} |\n", rests(5), rests(2));
    assert_eq!(drawn(&tune(&text), &[0]), ["1 2-6 7 8 9 10-11"]);
    // Cells of rests are rests however many there are.
    assert_eq!(drawn(&tune("section a\n lead | C5 | . . . . | . . | % | C5 |\n"), &[0]), ["1 2-4 5"]);
    // What sounds on is no rest.
    assert_eq!(drawn(&tune("section a\n lead | C5 | - | . | . | C5 |\n"), &[0]), ["1 2 3-4 5"]);
}

#[test]
fn a_sign_ends_where_something_is_said() {
    let cue = format!("section a\n words | | | | solo | | |\n lead | C5 | {} |\n", rests(5));
    assert_eq!(drawn(&tune(&cue), &[0]), ["1 2-3 4-6(solo)"]);
    let loud = format!("section a\n dynamics | p | - | - | f | - | - |\n lead | C5 | {} |\n", rests(5));
    assert_eq!(drawn(&tune(&loud), &[0]), ["1(p) 2-3 4-6(f)"]);
    // A mark within a bar needs its beats.
    let within = format!("section a\n dynamics | p | - | - | - f | - | - |\n lead | C5 | {} |\n", rests(5));
    assert_eq!(drawn(&tune(&within), &[0]), ["1(p) 2-3 4(f) 5-6"]);
    // A new meter, key or tempo is another section's, and that begins its own.
    let two =
        format!("section a\n lead | C5 | {0} |\nsection b\n meter 3/4\n tempo 80\n lead | {0} | C5 |\n", rests(3));
    assert_eq!(drawn(&tune(&two), &[0]), ["1 2-4", "1-3 4"]);
}

#[test]
fn the_chord_of_the_rests_is_named_where_the_player_comes_in() {
    let text = "section a\n chords | C | F | G7 | - | C |\n lead | C5 | . | . | D5 | C5 |\n";
    assert_eq!(drawn(&tune(text), &[0]), ["1(C) 2-3 4(G7) 5(C)"]);
    let cut =
        "section a\n chords | C | F | G7 | - | - | - |\n words | | | | now | | |\n lead | C5 | . | . | . | . | D5 |\n";
    assert_eq!(drawn(&tune(cut), &[0]), ["1(C) 2-3 4-5(now) 6(G7)"]);
    let own = "section a\n chords | C | F | - | G7 | - |\n lead | C5 | . | . | D5 | C5 |\n";
    assert_eq!(drawn(&tune(own), &[0]), ["1(C) 2-3 4(G7) 5"]);
}

#[test]
fn a_pickup_is_no_bar_of_a_long_rest() {
    let text = format!("pickup 1\nsection a\n kick | x | x | x | x | x |\n lead | {} | C5 |\n", rests(4));
    assert_eq!(drawn(&tune(&text), &[0]), ["1 2-4 5"]);
}

#[test]
fn a_section_without_strokes_is_rests() {
    let text = "form a b c\nsection a\n lead | C5 | D5 | E5 | F5 |\nsection b\n words | go | | ready | |\n lead | C5 | D5 | E5 | F5 |\n\
                section c\n lead | C5 |\n";
    assert_eq!(drawn(&tune(text), &[1]), ["1-4", "1-2(go) 3-4(ready)", "1-1"]);
    let sung = "section a\n words | one | two | three |\n lead | C5 | D5 | E5 |\n";
    assert_eq!(drawn(&tune(sung), &[1]), ["1-1(one) 2-2(two) 3-3(three)"]);
}

#[test]
fn percussion_rests_where_all_its_rows_do() {
    let text = format!("section a\n kick | x . | {} | x . |\n snare | . x | . x | {} | . x |\n", rests(4), rests(3));
    assert_eq!(drawn(&tune(&text), &KIT), ["1 2 3-5 6"]);
    assert_eq!(drawn(&tune(&text), &KIT[..1]), ["1 2-5 6"]);
    // Rests between patterns stand in one line with what is played once.
    let again = format!("section a\n kick | x . | x . | {} | x x | x . | x . |\n", rests(3));
    assert_eq!(drawn(&tune(&again), &KIT[..1]), ["1 x2 3-5 6 7 x2"]);
}

/// Every bar of a section is in one measure, in order, whatever is played and rested.
#[test]
fn no_bar_is_lost() {
    let mut numbers = Numbers(3);
    for _ in 0..200 {
        let bars: Vec<&str> = (0..12).map(|_| ["x .", ".", ".", "x x"][numbers.place(4)]).collect();
        let words: Vec<&str> = (0..12).map(|_| ["", "", "", "cue"][numbers.place(4)]).collect();
        let text = format!("section a\n words | {} |\n kick | {} |\n", words.join(" | "), bars.join(" | "));
        let tune = tune(&text);
        let section = &rows::rows(&tune, &KIT[..1], None, None)[0];
        let mut next = 0;
        for stretch in stretches(section) {
            let bars: usize = stretch.measures.iter().map(super::rests::Measure::bars).sum();
            assert_eq!(stretch.measures[0].bar.number, next, "{text}");
            for measure in stretch.measures.iter().filter(|measure| measure.rests.is_some()) {
                let (first, count) = (measure.bar.number, measure.bars());
                assert!(bars_rest(&text, first, count), "{text}");
            }
            next += bars * stretch.times;
        }
        assert_eq!(next, 12, "{text}");
    }
}

/// Whether so many bars of the kick are rests, and only the first of them has words.
fn bars_rest(text: &str, first: usize, count: usize) -> bool {
    let row = |name: &str| -> Vec<String> {
        let line = text.lines().find(|line| line.trim_start().starts_with(name)).expect("a row");
        line.split('|').skip(1).map(|bar| bar.trim().to_owned()).collect()
    };
    let (kick, words) = (row("kick"), row("words"));
    kick[first..first + count].iter().all(|bar| bar == ".")
        && words[first + 1..first + count].iter().all(String::is_empty)
}

#[test]
fn the_sign_can_be_found_and_read_aloud() {
    let text = format!("section a\n kick | x . | {} |\n snare | x . | {} |\n", rests(12), rests(12));
    let tune = tune(&text);
    let text = svg::element(&section::picture(&rows::rows(&tune, &KIT, None, None)[0], 400.0));
    for row in 0..2 {
        let group =
            format!("<g class=\"rests\" data-section=\"0\" data-row=\"{row}\" data-bar=\"1\" data-bars=\"12\">");
        assert!(text.contains(&group), "{text}");
    }
    assert!(text.contains("<title>rest for 12 bars</title>"), "{text}");
}

/// The sheet says what the sign means, and only where there is one; nothing of it reaches into the margin.
#[test]
fn a_sheet_says_what_the_sign_means() {
    let with = format!(
        "section a\n words | {}far too long a cue for a sign that is as narrow as this one is |\n lead | C5 | {} |\n",
        "| ".repeat(16),
        rests(16)
    );
    for (text, is_there) in [(with.as_str(), true), ("section a\n lead | C5 | . | D5 |\n", false)] {
        let tune = tune(text);
        let pages = sheet::parts(&tune, &[0], None, None, Paper::A4);
        let said = svg::file(&pages[0], Theme::Light);
        assert_eq!(said.contains("thick line and number: rest for that many bars"), is_there, "{text}");
        pages.iter().for_each(|page| super::tests::edges(&page.items, (0.0, 0.0), 1.0, page.size));
    }
}

#[test]
fn the_number_stands_in_the_sign() {
    let tune = tune(&format!("section a\n lead | C5 | {} |\n", rests(7)));
    let blocks = section::blocks(&rows::rows(&tune, &[0], None, None)[0], 500.0);
    let groups = blocks.iter().flat_map(|block| &block.items).filter_map(|item| match item {
        Item::Group(group) if group.class == "rests" => Some(&group.items),
        _ => None,
    });
    let texts: Vec<&str> = groups
        .flatten()
        .filter_map(|item| match item {
            Item::Shape(Part::Heading, Form::Text(text)) => Some(text.text.as_str()),
            _ => None,
        })
        .collect();
    assert_eq!(texts, ["7"]);
}
