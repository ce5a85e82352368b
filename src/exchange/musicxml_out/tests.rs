//! Laws of what is written: every measure is exactly full, every value is what it says, every tie and tuplet is closed.

use std::collections::BTreeMap;

use num_rational::Ratio;
use proptest::prelude::*;
use roxmltree::{Document, Node};

use crate::kit::playable;
use crate::tune::Tune;

const BAND: &str =
    "name = \"B\"\n[[pan]]\nname = \"L\"\nlayout = \"lead-c\"\n[[percussion]]\nname = \"I\"\nkind = \"iron\"\n";

fn tune(text: &str) -> Tune {
    playable(BAND, text)
}

fn written(tune: &Tune) -> String {
    let parts: Vec<usize> = (0..tune.parts.len()).collect();
    String::from_utf8(super::write(tune, &parts).expect("a score")).expect("UTF-8")
}

fn parsed(text: &str) -> Document<'_> {
    let options = roxmltree::ParsingOptions { allow_dtd: true, ..roxmltree::ParsingOptions::default() };
    Document::parse_with_options(text, options).expect("well-formed")
}

fn child<'a>(node: Node<'a, 'a>, name: &str) -> Option<Node<'a, 'a>> {
    node.children().find(|child| child.has_tag_name(name))
}

fn number(node: Node, name: &str) -> Option<i64> {
    child(node, name)?.text()?.parse().ok()
}

fn count(node: Node, name: &str) -> usize {
    node.children().filter(|child| child.has_tag_name(name)).count()
}

/// What a note's type, dots and tuplet say that it lasts, in quarter notes; `None` without a type.
fn said_length(note: Node) -> Option<Ratio<i64>> {
    let names =
        ["breve", "whole", "half", "quarter", "eighth", "16th", "32nd", "64th", "128th", "256th", "512th", "1024th"];
    let name = child(note, "type")?.text()?;
    let power = names.iter().position(|known| *known == name).expect("a type of note");
    let plain = Ratio::new(8, 1 << power);
    let dotted = if count(note, "dot") == 1 { plain * Ratio::new(3, 2) } else { plain };
    let tuplet = child(note, "time-modification").map_or(Ratio::from_integer(1), |tuplet| {
        Ratio::new(number(tuplet, "normal-notes").expect("a number"), number(tuplet, "actual-notes").expect("a number"))
    });
    Some(dotted * tuplet)
}

/// Everything that must hold of any score; `lengths` are those of the measures in quarter notes.
fn lawful(score: &str, lengths: &[Ratio<i64>]) {
    let document = parsed(score);
    for part in document.root_element().children().filter(|node| node.has_tag_name("part")) {
        let mut divisions = 0;
        let mut sounding: BTreeMap<String, i64> = BTreeMap::new();
        let measures: Vec<Node> = part.children().filter(|node| node.has_tag_name("measure")).collect();
        assert_eq!(measures.len(), lengths.len());
        for (measure, length) in measures.into_iter().zip(lengths) {
            if let Some(new) = child(measure, "attributes").and_then(|attributes| number(attributes, "divisions")) {
                divisions = new;
            }
            let mut total = 0;
            let mut tuplet = 0;
            for note in measure.children().filter(|node| node.has_tag_name("note")) {
                let duration = number(note, "duration").expect("a whole number of divisions");
                assert!(duration > 0);
                if let Some(said) = said_length(note) {
                    assert_eq!(said, Ratio::new(duration, divisions), "{score}");
                }
                if child(note, "chord").is_none() {
                    total += duration;
                }
                let sound = child(note, "pitch").or_else(|| child(note, "unpitched"));
                let sound =
                    sound.map(|node| node.descendants().filter_map(|n| n.text()).map(str::trim).collect::<String>());
                for tie in note.children().filter(|node| node.has_tag_name("tie")) {
                    let open = sounding.entry(sound.clone().expect("no rest is tied")).or_default();
                    *open += if tie.attribute("type") == Some("start") { 1 } else { -1 };
                    assert!((0..=1).contains(open), "a tie is not closed: {score}");
                }
                for mark in note.descendants().filter(|node| node.has_tag_name("tuplet")) {
                    tuplet += if mark.attribute("type") == Some("start") { 1 } else { -1 };
                    assert!((0..=1).contains(&tuplet));
                }
            }
            assert_eq!(Ratio::new(total, divisions), *length, "{score}");
            assert_eq!(tuplet, 0, "a tuplet is not closed: {score}");
        }
        assert!(sounding.values().all(|open| *open == 0), "a note never ends: {score}");
    }
}

#[test]
fn a_small_score() {
    let tune = tune(
        "title A & B\nkey Bb\nmeter 3/4\npickup 1\npart lead on lead\npart iron on iron\nform a x3\nsection a\n  \
         chords | N.C. | Bb7/D |\n  dynamics | p | < |\n  lead | F4 | Bb4+D5> - E5/Eb5/E5 A4' - |\n  iron | X | o ~ . s . |\n",
    );
    insta::assert_snapshot!(written(&tune));
}

/// A bar of a row: cells of which some are cut in several.
fn bar() -> impl Strategy<Value = Vec<Vec<u8>>> {
    let cell = prop_oneof![3 => prop::collection::vec(0u8..6, 1..2), 1 => prop::collection::vec(0u8..6, 2..8)];
    prop::collection::vec(cell, 1..14)
}

/// The text of a row; holds that have nothing to hold become strokes.
fn row(bars: &[Vec<Vec<u8>>], stroke: &str) -> String {
    let mut sounds = false;
    let mut text = String::from("|");
    for bar in bars {
        for cell in bar {
            let slots: Vec<&str> = cell
                .iter()
                .map(|slot| {
                    let word = match slot {
                        0 => ".",
                        1..=2 if sounds => "-",
                        3 if sounds => "~",
                        _ => stroke,
                    };
                    sounds = word != ".";
                    word
                })
                .collect();
            text += &format!(" {}", slots.join("/"));
        }
        text += " |";
    }
    text
}

proptest! {
    #![proptest_config(ProptestConfig {
        cases: 256,
        rng_seed: proptest::test_runner::RngSeed::Fixed(40),
        failure_persistence: None,
        ..ProptestConfig::default()
    })]

    #[test]
    fn every_measure_is_full(
        lead in prop::collection::vec(bar(), 3),
        iron in prop::collection::vec(bar(), 3),
        meter in prop::sample::select(vec![(4, 4), (3, 4), (6, 8), (7, 8), (2, 2), (9, 8), (5, 4)]),
        pickup in prop::sample::select(vec![(1, 1), (1, 2), (2, 3), (5, 7)]),
        times in 1_i64..4,
    ) {
        let text = format!(
            "meter {}/{}\npickup {}/{}\npart lead on lead\npart iron on iron\nform a x{times} b\nsection a\n  lead {}\nsection \
             b\n  iron {}\n",
            meter.0, meter.1, pickup.0, pickup.1, row(&lead, "D5+F5"), row(&iron, "x"),
        );
        let tune = tune(&text);
        let beat = tune.meter.beat().ratio();
        let bar = tune.meter.bar().ratio();
        let mut lengths = vec![beat * Ratio::new(pickup.0, pickup.1)];
        lengths.extend([bar; 5]);
        lawful(&written(&tune), &lengths);
    }
}
