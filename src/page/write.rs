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
pub(crate) const SCRIPTS: [(&str, &str); 7] = [
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
    /// The player's voices, a row each.
    own: Vec<u16>,
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
    let score = Score::new(&played, &own, &bank, &sticks(tune, parts[0], pan));
    let ways = ways(written, &own, &bank);
    let form = form(&score);
    let names = sheet::names(tune, parts);
    let named = svg::escape(&words::and(&names));
    let texts = Texts { tune, parts, pan: drawn };
    let sides = written.voices.iter().map(|voice| plan::stands(&voice.player)).chain([0.0]).collect();
    let data = Data {
        key: format!("panfold {} {}", tune.title, names.join(" ")),
        own,
        score,
        ceiling: CEILING,
        ladder: ladder(LADDER.0, LADDER.1, LADDER.2).unwrap_or_default(),
        cells: rows.cells,
        shown: rows.shown,
        bank: BankData { entries: bank.entries.clone(), again: bank.again, clicks: bank.clicks, sides },
        ways: ways.clone(),
    };
    let high = (parts.len() > 1).then_some(rows.height);
    let (style, script) = (style(high), script());
    fill(
        TEMPLATE,
        &[
            ("policy", &policy(&style, &script)),
            ("title", &svg::escape(&tune.title)),
            ("part", &named),
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
fn policy(style: &str, script: &str) -> String {
    format!(
        "default-src 'none'; script-src {}; style-src {}; img-src data:; media-src data:; base-uri 'none'; form-action 'none'",
        policy_hash(script),
        policy_hash(style)
    )
}

/// The style: inks by day and by night, the pictures, the page.
///
/// - `high`: the height of the bar that plays, in points, where the rows are several; else it is what `page.css` says.
fn style(high: Option<f64>) -> String {
    let day_and_night = by_day_and_night(|theme| inks(theme) + &svg::css(theme));
    // A point is a tenth of an em on the page, see `svg::silent_element`.
    let room = high.map_or(String::new(), |high| format!("#cells {{ height: {:.1}em; }}\n", (high + 1.0) / 10.0));
    format!("{day_and_night}{STYLE}{room}")
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
            (Some(pan), _) => svg::element(&face(pan, &self.options())),
            (None, []) => String::new(),
            (None, percussion) => svg::element(&kit(percussion, ABREAST)),
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
