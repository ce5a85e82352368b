//! The file: the template filled in.

use serde::Serialize;

use super::bank::{Bank, Click, Entry};
use super::encode::{base64, json, policy_hash};
use super::level::{CEILING, Way, ways};
use super::rows;
use super::score::{Score, performances};
use super::sticks::sticks;
use crate::drawing::captions::captions;
use crate::drawing::face;
use crate::drawing::face_object::object;
use crate::drawing::ink::{Ink, Theme};
use crate::drawing::strokes::kit;
use crate::drawing::{sheet, svg};
use crate::pan::{Pan, layouts};
use crate::performance::Performance;
use crate::performance::drill::{LADDER, ladder};
use crate::sound::{Mix, Settings, plan};
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Player;

/// The template; `{{name}}` stands for what is filled in.
const TEMPLATE: &str = include_str!("page.html");

/// How many strokes of percussion stand side by side: as many as a phone has room for.
const ABREAST: usize = 4;

/// The page's own style.
const STYLE: &str = include_str!("page.css");

/// The scripts, each after those that it uses.
pub(crate) const SCRIPTS: [(&str, &str); 15] = [
    ("plan.js", include_str!("plan.js")),
    ("strokes.js", include_str!("strokes.js")),
    ("clock.js", include_str!("clock.js")),
    ("sound.js", include_str!("sound.js")),
    ("lights.js", include_str!("lights.js")),
    ("faces.js", include_str!("faces.js")),
    ("face.js", include_str!("face.js")),
    ("view.js", include_str!("view.js")),
    ("choice.js", include_str!("choice.js")),
    ("log.js", include_str!("log.js")),
    ("street.js", include_str!("street.js")),
    ("taps.js", include_str!("taps.js")),
    ("hands.js", include_str!("hands.js")),
    ("player.js", include_str!("player.js")),
    ("main.js", include_str!("main.js")),
];

/// The script that runs before all else, and sees that the others do.
const EARLY: &str = include_str!("early.js");

/// What stands in the page as JSON; `data.js` tells of it in the script's words.
#[derive(Serialize)]
struct Data {
    key: String,
    /// The player's voices, a row each.
    own: Vec<u16>,
    /// The names of their parts.
    rows: Vec<String>,
    score: Score,
    bank: BankData,
    ways: Vec<Way>,
    ceiling: f64,
    ladder: Vec<f64>,
    cells: Vec<Vec<i64>>,
    shown: Vec<i64>,
}

/// The strokes without their samples.
#[derive(Serialize)]
struct BankData {
    entries: Vec<Entry>,
    /// How long what is struck again takes to stop, in seconds.
    again: f64,
    /// The clicks that count, accented and not.
    clicks: [Click; 2],
    /// Where each voice stands: -1 is left, 1 is right. The last counts.
    sides: Vec<f64>,
}

/// The practice page of what one player plays: one part on a pan, or one or several parts on percussion, with their rows under
/// each other.
///
/// - `parts`: the numbers of the parts, at least one; their rows stand in this order.
/// - `pan`: the number of the band's pan that they are played on; `None` for percussion, and for a pan that the band does not have.
///
/// The same tune and parts give the same bytes.
pub fn page(tune: &Tune, parts: &[usize], pan: Option<usize>) -> String {
    let played = performances(tune, parts);
    let written = &played[0];
    let own = voices(written, parts);
    let pans = pan.map(|pan| (parts[0], pan)).into_iter().collect();
    let mix = Mix::Loud(parts.iter().copied().collect());
    let settings = Settings { mix, pans, ..Settings::default() };
    let bank = Bank::new(&played, &own, &tune.band, &settings);
    let drawn = pan.map(|pan| &tune.band.pans[pan].pan);
    let rows = rows::write(tune, parts, drawn, written);
    let score = Score::new(&played, &own, &bank, &sticks(tune, parts[0], pan), tune.pickup.is_some());
    let ways = ways(written, &own, &bank);
    let form = form(&score);
    let names = sheet::names(tune, parts);
    let named = svg::escape(&words::and(&names));
    let texts = Texts { tune, parts, pan: drawn };
    let sides = written.voices.iter().map(|voice| plan::stands(&voice.player)).chain([0.0]).collect();
    let data = Data {
        key: format!("panfold {} {} {}", tune.band.name, tune.title, names.join(" ")),
        own,
        rows: parts.iter().map(|part| tune.parts[*part].name.clone()).collect(),
        score,
        ceiling: CEILING,
        ladder: ladder(LADDER.0, LADDER.1, LADDER.2).unwrap_or_default(),
        cells: rows.cells,
        shown: rows.shown,
        bank: BankData { entries: bank.entries.clone(), again: bank.again, clicks: bank.clicks, sides },
        ways: ways.clone(),
    };
    let (style, script) = (style(), script());
    fill(
        TEMPLATE,
        &[
            ("policy", &policy(&style, &[EARLY, &script])),
            ("title", &svg::escape(&tune.title)),
            ("part", &named),
            ("player", &svg::escape(&texts.player(&names))),
            ("about", &svg::escape(&texts.about())),
            ("instrument", &svg::escape(&texts.instrument())),
            ("face", &texts.face()),
            ("ways", &self::way_choices(&ways)),
            ("form", &form),
            ("rows", &rows.html),
            ("caution", &svg::escape(CAUTION)),
            ("doubt", &texts.doubt()),
            ("captions", &texts.captions()),
            ("style", &style),
            ("early", EARLY),
            ("data", &json(&data)),
            ("bank", &base64(&bank.file())),
            ("script", &script),
        ],
    )
}

/// The voices of parts in a performance.
fn voices(performance: &Performance, parts: &[usize]) -> Vec<u16> {
    let voice = |part: &usize| performance.voices.iter().position(|voice| voice.part == Some(*part));
    parts.iter().map(|part| voice(part).unwrap_or_default() as u16).collect()
}

/// A template with its places filled; what is filled in is not looked at again.
pub(super) fn fill(template: &str, values: &[(&str, &str)]) -> String {
    let mut out = String::new();
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("{{") {
        let (name, after) = after.split_once("}}").expect("every place is closed");
        out.push_str(before);
        out.push_str(values.iter().find(|(known, _)| *known == name).expect("every place has a value").1);
        rest = after;
    }
    out + rest
}

/// What the page allows: its own style and script, and nothing from anywhere (Content Security Policy Level 3).
fn policy(style: &str, scripts: &[&str]) -> String {
    let scripts: Vec<String> = scripts.iter().map(|script| policy_hash(script)).collect();
    format!(
        "default-src 'none'; script-src {}; style-src {}; img-src data:; media-src data:; base-uri 'none'; form-action 'none'",
        scripts.join(" "),
        policy_hash(style)
    )
}

/// The style: inks by day and by night, the pictures, the page.
fn style() -> String {
    by_day_and_night(|theme| inks(theme) + &svg::css(theme)) + STYLE
}

/// Rules by day, and by night.
pub(super) fn by_day_and_night(rules: impl Fn(Theme) -> String) -> String {
    let (day, night) = (rules(Theme::Light), rules(Theme::Dark));
    format!("{day}@media (prefers-color-scheme:dark){{\n{night}}}\n")
}

/// The inks that the page's own style uses.
pub(super) fn inks(theme: Theme) -> String {
    let named = [
        ("paper", Ink::Ground),
        ("metal", Ink::Metal),
        ("line", Ink::Line),
        ("edge", Ink::Edge),
        ("text", Ink::Text),
        ("quiet", Ink::Quiet),
        ("note", Ink::Note),
        ("now", Ink::Now),
        ("on-now", Ink::OnNow),
        ("next", Ink::Next),
        ("absent", Ink::Absent),
        ("faint", Ink::Faint),
    ];
    let each = named.map(|(name, ink)| format!("--{name}:{};", ink.colour(theme).hex()));
    format!(":root{{color-scheme:light dark;{}}}\n", each.concat())
}

/// All scripts as one: what one takes from another is there already, since they stand in order. Comments stay at home: they would be
/// half of it.
fn script() -> String {
    let mut out = String::from("'use strict';\n(() => {\n");
    for (_, text) in SCRIPTS {
        let mut within = false;
        for line in text.lines().filter(|line| !line.starts_with("import ")) {
            let bare = line.trim();
            // A comment of its own; one with code after it on its line stays.
            let begins = bare.starts_with("/**") && bare.find("*/").is_none_or(|end| end + 2 == bare.len());
            if begins || within {
                within = !bare.ends_with("*/");
            } else if !bare.is_empty() && !bare.starts_with("//") {
                out.push_str(line.strip_prefix("export ").unwrap_or(line));
                out.push('\n');
            }
        }
    }
    out + "})();\n"
}

fn form(score: &Score) -> String {
    let button = |(i, section): (usize, &super::score::Section)| {
        let name = svg::escape(&section.name);
        format!("<button type=\"button\" data-form=\"{i}\">{name}</button>\n")
    };
    score.sections.iter().enumerate().map(button).collect()
}

fn way_choices(ways: &[Way]) -> String {
    let choice = |way: &Way| {
        let checked = if way.name == ways[0].name { " checked" } else { "" };
        let (name, label) = (way.name, way.label);
        format!("<label><input type=\"radio\" name=\"way\" value=\"{name}\"{checked}> {label}</label>\n")
    };
    ways.iter().map(choice).collect()
}

/// The usual caution about loudness (NIOSH, publication 98-126: 85 dBA over 8 hours, half the time for every 3 dB more).
pub const CAUTION: &str = "A steel band is loud, the iron most of all, and headphones can be as loud. Keep \
headphones low, take breaks, and wear hearing protection in the panyard. If your ears ring, see a hearing \
professional. A usual limit at work is 85 dBA over 8 hours, and half the time for every 3 dB more: at 100 dBA that \
is a quarter of an hour. Local rules come first.";

/// What the page says about what the player plays.
struct Texts<'a> {
    tune: &'a Tune,
    parts: &'a [usize],
    pan: Option<&'a Pan>,
}

impl Texts<'_> {
    /// What the parts are played on.
    fn instrument(&self) -> String {
        let percussion = sheet::percussion(self.tune, self.parts);
        match (&self.tune.parts[self.parts[0]].player, self.pan) {
            (_, Some(pan)) => format!("{} ({})", pan.name, pan.kind),
            (Player::Pans { kind, .. }, None) => kind.to_string(),
            (Player::Percussion { .. }, None) => {
                words::and(&percussion.iter().map(|(_, instrument)| instrument.name()).collect::<Vec<_>>())
            }
        }
    }

    /// The parts and what they are played on, for under the title.
    fn player(&self, names: &[&str]) -> String {
        let on = self.pan.map_or(String::new(), |pan| format!(", {}", pan.name));
        format!("{}{on}", words::and(names))
    }

    fn about(&self) -> String {
        let tune = self.tune;
        let mut facts = vec![
            self.played_on(),
            format!("key {}", tune.key),
            tune.meter.to_string(),
            format!("tempo {}", tune.tempo),
        ];
        if tune.swing.0 != tune.swing.1 {
            facts.push(format!("swing {}:{}", tune.swing.0, tune.swing.1));
        }
        facts.extend(tune.by.iter().map(|by| format!("by {by}")));
        facts.join(", ")
    }

    fn played_on(&self) -> String {
        sheet::played_on(self.tune, self.parts, self.pan)
    }

    fn options(&self) -> face::Options {
        face::Options {
            tolerance: self.tune.band.tolerance,
            wanted: crate::drawing::rows::notes(self.tune, self.parts),
            captions: false,
            ..face::Options::default()
        }
    }

    /// The pan with what is struck on it; the usual layout of its kind when the band has none.
    fn face(&self) -> String {
        let usual = match &self.tune.parts[self.parts[0]].player {
            Player::Pans { kind, .. } => layouts::of_kind(*kind),
            Player::Percussion { .. } => None,
        };
        match (self.pan.or(usual), &sheet::percussion(self.tune, self.parts)[..]) {
            (Some(pan), _) => svg::element(&object(pan, &self.options())),
            (None, []) => String::new(),
            (None, percussion) => svg::element(&kit(percussion, ABREAST)),
        }
    }

    /// What has to be said beside the drawing of the pan, in few words.
    fn doubt(&self) -> String {
        let said = self.pan.map(|pan| captions(pan, &self.options())).unwrap_or_default();
        let missing = said.iter().any(|line| line.starts_with("crossed out"));
        let sketch = said.iter().any(|line| !line.starts_with("crossed out") && !line.starts_with("arrow"));
        let mut short = String::new();
        if sketch {
            short.push_str("Sketch only: go by your own pan. ");
        }
        if missing {
            short.push_str("Crossed out: not on this pan.");
        }
        if short.is_empty() { short } else { format!("<p class=\"doubt\">{}</p>", short.trim_end()) }
    }

    /// All that has to be said about the drawing of the pan.
    fn captions(&self) -> String {
        let said = self.pan.map(|pan| captions(pan, &self.options())).unwrap_or_default();
        let line = |said: &String| format!("<li>{}</li>\n", svg::escape(said));
        let lines: String = said.iter().map(line).collect();
        if lines.is_empty() { lines } else { format!("<h2>About the drawing</h2>\n<ul>\n{lines}</ul>") }
    }
}
