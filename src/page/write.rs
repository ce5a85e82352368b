//! The file: the template filled in.

use serde::Serialize;

use super::bank::{Bank, Click, Entry};
use super::encode::{base64, json, policy_hash};
use super::level::{CEILING, Way, ways};
use super::rows;
use super::score::{Score, performances};
use super::sticks::sticks;
use crate::drawing::captions::captions;
use crate::drawing::face::{self, face};
use crate::drawing::ink::{Ink, Theme};
use crate::drawing::{strokes, svg};
use crate::pan::{Pan, layouts};
use crate::performance::drill::{LADDER, ladder};
use crate::sound::{Mix, Settings, plan};
use crate::tune::Tune;
use crate::tune::model::Player;

/// The template; `{{name}}` stands for what is filled in.
const TEMPLATE: &str = include_str!("page.html");

/// The page's own style.
const STYLE: &str = include_str!("page.css");

/// The scripts, each after those that it uses.
pub const SCRIPTS: [(&str, &str); 7] = [
    ("plan.js", include_str!("plan.js")),
    ("strokes.js", include_str!("strokes.js")),
    ("clock.js", include_str!("clock.js")),
    ("sound.js", include_str!("sound.js")),
    ("view.js", include_str!("view.js")),
    ("choice.js", include_str!("choice.js")),
    ("main.js", include_str!("main.js")),
];

/// What stands in the page as JSON; `data.js` tells of it in the script's words.
#[derive(Serialize)]
struct Data {
    key: String,
    own: u16,
    /// Beats a minute where the tune begins.
    tempo: f64,
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

/// The practice page of a part.
///
/// - `pan`: the number of the band's pan that it is played on; `None` for percussion, and for a pan that the band does not have.
///
/// The same tune and part give the same bytes.
pub fn page(tune: &Tune, part: usize, pan: Option<usize>) -> String {
    let played = performances(tune);
    let written = &played[0];
    let own = written.voices.iter().position(|voice| voice.part == Some(part)).unwrap_or_default() as u16;
    let pans = pan.map(|pan| (part, pan)).into_iter().collect();
    let settings = Settings { mix: Mix::Front(part.into()), pans, ..Settings::default() };
    let bank = Bank::new(&played, own, &tune.band, &settings);
    let drawn = pan.map(|pan| &tune.band.pans[pan].pan);
    let rows = rows::write(tune, part, drawn, written);
    let score = Score::new(&played, own, &bank, &sticks(tune, part, pan));
    let ways = ways(written, own, &bank);
    let form = form(&score);
    let texts = Texts { tune, part, pan: drawn };
    let sides = written.voices.iter().map(|voice| plan::stands(&voice.player)).chain([0.0]).collect();
    let data = Data {
        key: format!("panfold {} {}", tune.title, tune.parts[part].name),
        own,
        tempo: written.tempo.at(written.begin).tempo.beats_a_minute(),
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
            ("policy", &policy(&style, &script)),
            ("title", &svg::escape(&tune.title)),
            ("part", &svg::escape(&tune.parts[part].name)),
            ("about", &svg::escape(&texts.about())),
            ("instrument", &svg::escape(&texts.instrument())),
            ("face", &texts.face()),
            ("ways", &self::way_choices(&ways)),
            ("form", &form),
            ("rows", &rows.html),
            ("caution", &svg::escape(CAUTION)),
            ("captions", &texts.captions()),
            ("style", &style),
            ("data", &json(&data)),
            ("bank", &base64(&bank.file())),
            ("script", &script),
        ],
    )
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
fn policy(style: &str, script: &str) -> String {
    format!(
        "default-src 'none'; script-src {}; style-src {}; img-src data:; media-src data:; base-uri 'none'; form-action 'none'",
        policy_hash(script),
        policy_hash(style)
    )
}

/// The style: inks by day and by night, the pictures, the page.
fn style() -> String {
    let day_and_night = by_day_and_night(|theme| inks(theme) + &svg::css(theme));
    format!("{day_and_night}{STYLE}")
}

/// Rules by day, and by night.
pub(super) fn by_day_and_night(rules: impl Fn(Theme) -> String) -> String {
    let (day, night) = (rules(Theme::Light), rules(Theme::Dark));
    format!("{day}@media (prefers-color-scheme:dark){{\n{night}}}\n")
}

/// The inks that the page's own style uses.
pub(super) fn inks(theme: Theme) -> String {
    let named = [
        ("paper", Ink::Paper),
        ("metal", Ink::Metal),
        ("line", Ink::Line),
        ("edge", Ink::Edge),
        ("text", Ink::Text),
        ("quiet", Ink::Quiet),
        ("now", Ink::Now),
        ("on-now", Ink::OnNow),
        ("faint", Ink::Faint),
    ];
    let each = named.map(|(name, ink)| format!("--{name}:{};", ink.colour(theme).hex()));
    format!(":root{{color-scheme:light dark;{}}}\n", each.concat())
}

/// All scripts as one: what one takes from another is there already, since they stand in order.
fn script() -> String {
    let mut out = String::from("'use strict';\n(() => {\n");
    for line in SCRIPTS.iter().flat_map(|(_, text)| text.lines()).filter(|line| !line.starts_with("import ")) {
        out.push_str(line.strip_prefix("export ").unwrap_or(line));
        out.push('\n');
    }
    out + "})();\n"
}

fn form(score: &Score) -> String {
    let button = |(i, section): (usize, &super::score::Section)| {
        let name = svg::escape(&section.name);
        format!("<button type=\"button\" data-form=\"{i}\" aria-pressed=\"false\">{name}</button>\n")
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
pub const CAUTION: &str = "A steel band is loud, and the iron above all; headphones can be as loud. A usual limit at work is \
85 dBA over 8 hours, and half the time for every 3 dB more: at 100 dBA that is a quarter of an hour. Keep headphones low, take \
breaks, wear hearing protection in the shed. Local rules come first, and a ringing ear is for a hearing professional.";

/// What the page says about the part.
struct Texts<'a> {
    tune: &'a Tune,
    part: usize,
    pan: Option<&'a Pan>,
}

impl Texts<'_> {
    /// What the part is played on.
    fn instrument(&self) -> String {
        match (&self.tune.parts[self.part].player, self.pan) {
            (_, Some(pan)) => format!("{} ({})", pan.name, pan.kind),
            (Player::Pans { kind, .. }, None) => kind.to_string(),
            (Player::Percussion { instrument, .. }, None) => instrument.to_string(),
        }
    }

    fn about(&self) -> String {
        let tune = self.tune;
        let mut facts = vec![
            format!("{} on {}", tune.parts[self.part].name, self.instrument()),
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

    fn options(&self) -> face::Options {
        face::Options {
            tolerance: self.tune.band.tolerance,
            wanted: crate::drawing::rows::notes(self.tune, self.part),
            captions: false,
            ..face::Options::default()
        }
    }

    /// The pan with what is struck on it; the usual layout of its kind when the band has none.
    fn face(&self) -> String {
        let usual = match &self.tune.parts[self.part].player {
            Player::Pans { kind, .. } => layouts::of_kind(*kind),
            Player::Percussion { .. } => None,
        };
        match (&self.tune.parts[self.part].player, self.pan.or(usual)) {
            (_, Some(pan)) => svg::element(&face(pan, &self.options())),
            (Player::Percussion { instrument, .. }, None) => svg::element(&strokes(*instrument)),
            (Player::Pans { .. }, None) => String::new(),
        }
    }

    /// What has to be said about the drawing of the pan.
    fn captions(&self) -> String {
        let said = self.pan.map(|pan| captions(pan, &self.options())).unwrap_or_default();
        if said.is_empty() {
            return String::new();
        }
        format!("<h2>About the drawing</h2>\n<p>{}.</p>", svg::escape(&said.join("; ")))
    }
}
