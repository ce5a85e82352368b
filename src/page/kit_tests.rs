//! The page of several percussion parts of one player, as data.

use serde_json::{Value, json};

use super::page;
use super::tests::data;
use crate::kit::{self, ONE_LEAD};
use crate::tune::Tune;

const HEAD: &str =
    "tempo 120\nroll none\npart lead on lead\npart kick on kick\npart snare on snare\npart iron on iron\n";

fn tune(text: &str) -> Tune {
    kit::tune(ONE_LEAD, &format!("{HEAD}{text}"))
}

/// When a list of strokes is struck, and what, in beats of 120 a minute.
fn struck(onsets: &Value) -> Vec<(f64, &str)> {
    let onsets = onsets.as_array().expect("onsets");
    let one = |onset: &'_ Value| onset["at"].as_f64().expect("a time") / 5e5;
    onsets.iter().map(|onset| (one(onset), onset["struck"][0].as_str().expect("a letter"))).collect()
}

#[test]
fn every_row_has_its_own_strokes_and_all_rows_share_their_cells() {
    let tune = tune("section a\n kick | x . x . |\n snare | . x . s/s |\n iron | x x x x |\n");
    let data = data(&page(&tune, &[1, 2], None));
    assert_eq!(data["own"], json!([1, 2]));
    let onsets = data["score"]["onsets"].as_array().expect("lists");
    assert_eq!(onsets.len(), 2);
    assert_eq!(struck(&onsets[0]), [(0.0, "x"), (2.0, "x")]);
    assert_eq!(struck(&onsets[1]), [(1.0, "x"), (3.0, "s"), (3.5, "s")]);
    assert_eq!(data["cells"].as_array().expect("bars").len(), 1);
    assert_eq!(data["cells"][0].as_array().expect("cells").len(), 8);
}

/// The player's own strokes have two variants each, the band's one: all rows are the player's.
#[test]
fn all_parts_of_the_player_are_the_players_own() {
    let tune = tune("section a\n lead | C5 C5 |\n kick | x x |\n snare | x x |\n");
    let count = |parts: &[usize], voice: u64| {
        let data = data(&page(&tune, parts, None));
        let entries = data["bank"]["entries"].as_array().expect("strokes");
        entries.iter().filter(|entry| entry["voice"] == voice).count()
    };
    assert_eq!([0, 1, 2].map(|voice| count(&[1, 2], voice)), [1, 2, 2]);
    assert_eq!([0, 1, 2].map(|voice| count(&[1], voice)), [1, 2, 1]);
    let data = data(&page(&tune, &[1, 2], None));
    let silent = data["ways"].as_array().expect("ways").iter().find(|way| way["name"] == "silent").expect("a way");
    assert_eq!((silent["own"].as_f64(), silent["band"].as_f64()), (Some(0.0), Some(1.0)));
}

/// Who plays the iron as well is answered by no iron; an answer begins where both hands have been silent.
#[test]
fn drills_are_about_all_parts_of_the_player() {
    let tune = tune(
        "section a\n kick | x . . . | x . . . | x x x x | x . . . |\n snare | . . . x | . . . . | . . . . | . . . . |\n \
         iron | x x x x | % | % | % |\n",
    );
    let score = |parts: &[usize]| data(&page(&tune, parts, None))["score"].clone();
    let phrases = |score: &Value| -> Vec<u64> {
        let bars = score["bars"].as_array().expect("bars");
        bars.iter().map(|bar| bar["phrase"].as_u64().expect("a number")).collect()
    };
    let (kick, kit) = (score(&[1]), score(&[1, 2]));
    assert_eq!(phrases(&kick), [1, 2, 4, 4]);
    assert_eq!(phrases(&kit), [2, 2, 4, 4]);
    assert_eq!(kit["keeper"], json!(3));
    assert_eq!(score(&[1, 2, 3])["keeper"], Value::Null);
}

#[test]
fn a_section_has_its_own_tempo() {
    let tune = tune("form a b a\nsection a\n kick | x |\nsection b\n tempo 80\n kick | x |\n");
    let data = data(&page(&tune, &[1], None));
    let sections = data["score"]["sections"].as_array().expect("sections");
    let tempos: Vec<f64> = sections.iter().map(|section| section["tempo"].as_f64().expect("a tempo")).collect();
    assert_eq!(tempos, [120.0, 80.0, 120.0]);
}

#[test]
fn a_page_of_several_parts_names_all_of_them() {
    let tune = tune("section a\n kick | x . |\n snare | . x |\n");
    let page = page(&tune, &[1, 2], None);
    assert!(
        page.contains(": kick and snare</title>")
            && page.contains("<h2 id=\"rows-name\">kick and snare, bar by bar</h2>")
    );
    assert!(page.contains("a, bar 1: kick: x; snare: x"), "for readers of screens");
    assert!(page.contains("id=\"mark-0-x\"") && page.contains("id=\"mark-1-x\""), "the strokes of both are drawn");
}
