//! Tests of the page as a text; the browser's own are in `tests/outside/page`.

use std::collections::BTreeSet;

use serde_json::Value;

use super::encode::policy_hash;
use super::write::SCRIPTS;
use super::{about, page};
use crate::kit::demo;
use crate::performance::drill::{Kind, Request, drill};
use crate::performance::{Options, TempoChoice, perform};
use crate::sound::{bank::Struck, plan};

/// What stands between two texts of the page.
fn between<'a>(page: &'a str, from: &str, to: &str) -> &'a str {
    let start = page.find(from).unwrap_or_else(|| panic!("the page has `{from}`")) + from.len();
    let length = page[start..].find(to).unwrap_or_else(|| panic!("`{from}` is followed by `{to}`"));
    &page[start..start + length]
}

pub(super) fn data(page: &str) -> Value {
    let text = between(page, "<script type=\"application/json\" id=\"data\">", "</script>");
    serde_json::from_str(text).expect("JSON")
}

fn numbers(value: &Value) -> Vec<i64> {
    value.as_array().expect("a list").iter().map(|number| number.as_i64().expect("a whole number")).collect()
}

#[test]
fn the_page_plays_the_performance() {
    let tune = demo("sea-grape-road.tune");
    let part = tune.part("lead").expect("a lead");
    let page = page(&tune, &[part], Some(0));
    let data = data(&page);
    let played = perform(&tune, &Options::default());
    let entries = data["bank"]["entries"].as_array().expect("strokes");
    for (percent, rolled) in [(100.0, false), (100.0, true), (60.0, true)] {
        let tempo = if percent == 100.0 { TempoChoice::AsWritten } else { TempoChoice::Percent(percent) };
        let other = perform(&tune, &Options { tempo, ..Options::default() });
        let list = if rolled {
            let rolls = data["score"]["rolls"].as_array().expect("rolls");
            &rolls.iter().find(|reading| reading["percent"] == percent).expect("a reading")["strokes"]
        } else {
            &data["score"]["strokes"]
        };
        let list = numbers(list);
        let mut at = 0;
        let told: Vec<(i64, u64, i64)> = list
            .chunks(4)
            .map(|stroke| {
                at += stroke[0];
                (at, entries[stroke[1].unsigned_abs() as usize]["voice"].as_u64().expect("a voice"), stroke[2])
            })
            .collect();
        let expected: Vec<(i64, u64, i64)> = other
            .strokes
            .iter()
            .filter(|stroke| stroke.roll.is_some() == rolled)
            .map(|stroke| {
                let at = (played.tempo.seconds(stroke.at) * 1e6).round() as i64;
                (at, u64::from(stroke.voice), (plan::loudness(stroke.force) * 1000.0).round() as i64)
            })
            .collect();
        assert!(expected.len() > 20);
        assert_eq!(told, expected);
    }
    let struck: BTreeSet<Struck> =
        played.strokes.iter().filter(|stroke| stroke.voice == 0).map(|stroke| stroke.sound.into()).collect();
    let places: BTreeSet<u64> = entries
        .iter()
        .filter(|entry| entry["voice"] == 0)
        .map(|entry| entry["place"].as_u64().expect("a number"))
        .collect();
    assert_eq!(places.len(), struck.len());
}

/// On a pan every stroke has its letter; without one, and for percussion, there is none.
#[test]
fn the_sticks_are_those_that_were_chosen() {
    let tune = demo("sea-grape-road.tune");
    for (name, pan) in [("lead", true), ("lead", false), ("shaker", true)] {
        let part = tune.part(name).expect("a part");
        let own = match &tune.parts[part].player {
            crate::tune::Player::Pans { pans, .. } => pans.first().copied().filter(|_| pan),
            crate::tune::Player::Percussion { .. } => None,
        };
        let data = data(&page(&tune, &[part], own));
        let onsets = data["score"]["onsets"][0].as_array().expect("onsets");
        let letters: Vec<&str> = onsets.iter().filter_map(|onset| onset["sticks"][0].as_str()).collect();
        let Some(own) = own else {
            assert!(letters.is_empty());
            continue;
        };
        let chosen = crate::hands::line::sticks(&tune, part, own);
        let played = tune.passes().flat_map(|(section, ..)| &chosen[section]);
        let expected: Vec<&str> = played
            .map(|stick| if stick.expect("a stick") == crate::notation::tree::Stick::L { "L" } else { "R" })
            .collect();
        assert!(expected.len() > 20 && expected.contains(&"L") && expected.contains(&"R"));
        assert_eq!(letters, expected);
    }
}

/// The page follows tables where `drill` works phrases out: both must come to the same steps from every bar on.
#[test]
fn phrases_are_those_of_the_echo_drill() {
    let tune = demo("slow-water.tune");
    for part in 0..tune.parts.len() {
        let data = data(&page(&tune, &[part], None));
        let bars = data["score"]["bars"].as_array().expect("bars");
        let count = bars.len();
        for first in 0..count {
            for last in [first + 1, first + 3, count].into_iter().filter(|last| *last <= count) {
                let request = Request {
                    part,
                    kind: Kind::Echo { bars: None },
                    section: None,
                    bars: Some((first + 1, last)),
                    tempo: TempoChoice::AsWritten,
                };
                let drill = drill(&tune, &request).expect("a drill");
                let mut told = Vec::new();
                let mut bar = first;
                while bar < last {
                    let end = (bars[bar]["phrase"].as_u64().expect("a number") as usize).min(last);
                    // It begins with a pickup, which is bar 0.
                    told.push(if end == bar + 1 { format!("bar {bar}") } else { format!("bars {bar} to {}", end - 1) });
                    told.push("your answer".to_owned());
                    bar = end;
                }
                let steps: Vec<String> = drill.steps.into_iter().map(|step| step.what).collect();
                assert_eq!(told, steps, "{} from bar {first}", tune.parts[part].name);
            }
        }
    }
}

#[test]
fn nothing_is_asked_of_anybody_and_nothing_else_may_run() {
    let tune = demo("sea-grape-road.tune");
    let page = page(&tune, &[0], Some(0));
    let style = between(&page, "<style>", "</style>");
    let script = page.rsplit_once("<script>").expect("a script").1.split_once("</script>").expect("its end").0;
    let policy = between(&page, "Content-Security-Policy\" content=\"", "\"");
    assert!(policy.starts_with("default-src 'none'; "), "{policy}");
    let early = between(&page, "<script>", "</script>");
    assert!(policy.contains(&format!("script-src {} {};", policy_hash(early), policy_hash(script))));
    assert!(policy.contains(&format!("style-src {};", policy_hash(style))));
    for wrong in ["unsafe", "http:", "https:", "*", "connect-src"] {
        assert!(!policy.contains(wrong), "{policy}");
    }
    assert!(!page.contains(" style=\""), "the policy would not allow it");
    // Shades of the drawing are named by `url(#…)`, which asks for nothing.
    let without = page.replace("http://www.w3.org/2000/svg", "").replace("url(#", "");
    for wrong in ["http://", "https://", "src=", "fetch(", "import(", "XMLHttpRequest", "WebSocket", "url("] {
        assert!(!without.contains(wrong), "`{wrong}`");
    }
}

/// A megabyte and a half at most, for a part with its band behind it; about as much as was said before; and no stroke that is not struck.
#[test]
fn pages_are_small_and_the_same_every_time() {
    for name in ["sea-grape-road.tune", "slow-water.tune", "jetty-jam.tune"] {
        let tune = demo(name);
        let played = perform(&tune, &Options::default());
        for part in 0..tune.parts.len() {
            let page = page(&tune, &[part], None);
            let name = format!("{name} {}", tune.parts[part].name);
            assert!(page.len() < 1_540_000, "{name}: {} bytes", page.len());
            let said = about(&played, &[part]) as f64 / page.len() as f64;
            assert!((0.8..1.25).contains(&said), "{name}: {said} of {} bytes", page.len());
            let data = data(&page);
            let rolls = data["score"]["rolls"].as_array().expect("rolls").iter().map(|reading| &reading["strokes"]);
            let lists = rolls.chain([&data["score"]["strokes"]]).map(numbers);
            let struck =
                lists.flat_map(|list| list.chunks(4).map(|stroke| stroke[1].unsigned_abs()).collect::<Vec<_>>());
            let clicks = data["bank"]["clicks"].as_array().expect("clicks").iter().map(|click| click["sound"].as_u64());
            let struck: BTreeSet<u64> = struck.chain(clicks.flatten()).collect();
            let held = data["bank"]["entries"].as_array().expect("strokes").len() as u64;
            assert_eq!(struck, (0..held).collect(), "{name}");
            assert!(part > 0 || page == super::page(&tune, &[part], None), "other bytes");
        }
    }
}

#[test]
fn names_are_text() {
    let mut tune = demo("sea-grape-road.tune");
    tune.title = "<script>alert(1)</script>".to_owned();
    tune.parts[0].name = "\"lead\" 'n' <b>".to_owned();
    tune.sections[0].name = "</script><img src=x>".to_owned();
    let page = page(&tune, &[0], Some(0));
    assert!(!page.contains("alert(1)<"), "a title as markup");
    assert!(
        page.contains("<title>&lt;script&gt;alert(1)&lt;/script&gt;: &quot;lead&quot; &#39;n&#39; &lt;b&gt;</title>")
    );
    assert!(!page.contains("<img") && !page.contains("<b>\"") && page.matches("</script>").count() == 4);
}

/// The scripts are put together in order, so that each may take only from those before it, in lines that are left out whole.
#[test]
fn scripts_take_only_from_those_before_them() {
    let mut before = BTreeSet::new();
    for (name, text) in SCRIPTS {
        for line in text.lines().filter(|line| line.trim_start().starts_with("import ")) {
            assert!(line.starts_with("import {") && line.ends_with(';'), "{name}: {line}");
            let from = line.split("from './").nth(1).and_then(|rest| rest.split('\'').next()).expect("a file");
            assert!(before.contains(from), "{name} takes from {from}");
        }
        before.insert(name);
    }
}
