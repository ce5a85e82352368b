//! Reading a band file: its name, its tuning, its pans and percussion.

use std::sync::Arc;

use toml::de::{DeTable, DeValue};

use super::band::{Band, BandPan, PartLevel, Percussion, TOLERANCE};
use super::costs::{Costs, MOST, SETTINGS};
use super::face::Pan;
use super::fields::{self, Fields};
use super::findings::{NOTHING_THERE, PAN_TWICE, UNKNOWN_PERCUSSION, WRONG_ENTRY};
use super::instrument::Instrument;
use super::kind::PanKind;
use super::kit;
use super::layouts::{self, read_pan};
use super::level::Level;
use super::misplaced::is_a_pan_file;
use super::player::BandPlayer;
use super::read_pan::pan;
use super::read_player::{self, Pieces};
use crate::music::{Cents, Hertz, Tuning};
use crate::text::{Finding, Source, Span, Spanned, words};

/// What a band's A4 may be, in hertz: two whole tones either way from 440, more than any band strays.
pub const A4_RANGE: (f64, f64) = (350.0, 550.0);

/// What the tolerance of a note may be, in cents.
pub const TOLERANCE_RANGE: (f64, f64) = (0.0, 100.0);

/// How many pans, how many percussion instruments, how many players, and how many levels of parts a band may have.
pub const MAX_PANS: usize = 500;

/// Reads the file that a pan's `file` key names, relative to the band file.
pub type Load<'a> = &'a mut dyn FnMut(&str) -> Result<Arc<Source>, Box<Finding>>;

/// Reads a band file. `load` reads the pan files that it names.
///
/// `None` when the file is not TOML at all, or is a pan file; else the band with what could be read of it.
pub fn read_band(source: &Arc<Source>, load: Load) -> (Option<Band>, Vec<Finding>) {
    let mut findings = Vec::new();
    let table = fields::parse(source, &mut findings);
    if !findings.is_empty() {
        return (None, findings);
    }
    if let Some(finding) = is_a_pan_file(source, &table) {
        return (None, vec![finding]);
    }
    let mut fields = Fields::new(source, table.get_ref(), Span::default());
    let name = fields.needed_text("name", &mut findings).map_or_else(|| "the band".to_owned(), |name| name.value);
    let a4 = fields.number("a4", A4_RANGE, "hertz", &mut findings);
    let tolerance = fields.number("tolerance", TOLERANCE_RANGE, "cents", &mut findings);
    let level = bands_level(source, &mut fields, &mut findings).unwrap_or_default();
    let levels = levels(source, fields.headed("levels", LEVELS_HELP, &mut findings), &mut findings);
    let costs = costs(source, fields.table("fit", &mut findings), &mut findings);
    let mut pans = Vec::new();
    for (place, table) in limited("pan", fields.tables("pan", &mut findings), source, &mut findings) {
        pans.extend(band_pan(source, place, table, load, &mut findings));
    }
    let mut percussion = Vec::new();
    for (place, table) in limited("percussion", fields.tables("percussion", &mut findings), source, &mut findings) {
        percussion.extend(instrument(source, place, table, &mut findings));
    }
    let pieces = Pieces { pans: &pans, percussion: &percussion, some_lost: !findings.is_empty() };
    let players = players(source, fields.tables("player", &mut findings), &pieces, &mut findings);
    fields.finish(&mut findings);
    let names = pans.iter().map(|pan: &BandPan| (&pan.pan.name, pan.span));
    doubles(source, names.chain(percussion.iter().map(|p: &Percussion| (&p.name, p.span))), &mut findings);
    if pans.is_empty() && percussion.is_empty() && findings.is_empty() {
        let finding = Finding::error(&NOTHING_THERE, format!("the band `{name}` has neither pans nor percussion"));
        findings.push(finding.at(source, Span::default()).help("add a `[[pan]]` with a `name` and a `layout`"));
    }
    let tuning = a4.map_or_else(Tuning::default, |a4| Tuning { a4: Hertz(a4) });
    let tolerance = tolerance.map_or(TOLERANCE, Cents);
    let source = Arc::clone(source);
    (Some(Band { name, tuning, tolerance, level, levels, costs, pans, percussion, players, source }), findings)
}

/// The costs of the table `[fit]`, in units; those that it does not name keep their usual values.
fn costs<'a>(source: &'a Arc<Source>, table: Option<(Span, &'a DeTable<'a>)>, findings: &mut Vec<Finding>) -> Costs {
    let mut costs = Costs::default();
    let Some((place, table)) = table else { return costs };
    let mut fields = Fields::new(source, table, heading(source, place)).within("[fit]");
    for setting in &SETTINGS {
        if let Some(units) = fields.number(setting.key, (0.0, MOST), "units", findings) {
            *(setting.of)(&mut costs) = (units * 1000.0).round() as i64;
        }
    }
    fields.finish(findings);
    costs
}

/// The first [`MAX_PANS`] entries of a list.
fn limited<T>(what: &str, all: Vec<(Span, T)>, source: &Arc<Source>, findings: &mut Vec<Finding>) -> Vec<(Span, T)> {
    if let Some((place, _)) = all.get(MAX_PANS) {
        let message =
            format!("a band can have {MAX_PANS} entries `[[{what}]]` at most, and this one has {}", all.len());
        findings.push(Finding::error(&WRONG_ENTRY, message).at(source, *place));
    }
    all.into_iter().take(MAX_PANS).collect()
}

/// The people of the tables `[[player]]`.
fn players<'a>(
    source: &'a Arc<Source>,
    tables: Vec<(Span, &'a DeTable<'a>)>,
    pieces: &Pieces,
    findings: &mut Vec<Finding>,
) -> Vec<BandPlayer> {
    let mut players = Vec::new();
    for (place, table) in limited("player", tables, source, findings) {
        let mut fields = Fields::new(source, table, heading(source, place)).within("[[player]]");
        let level = level(source, &mut fields, findings);
        players.extend(read_player::player(source, fields, level, pieces, findings));
    }
    read_player::doubles(source, &players, findings);
    players
}

fn band_pan<'a>(
    source: &'a Arc<Source>,
    place: Span,
    table: &'a DeTable<'a>,
    load: Load,
    findings: &mut Vec<Finding>,
) -> Option<BandPan> {
    let mut fields = Fields::new(source, table, heading(source, place)).within("[[pan]]");
    let plays = fields.texts("plays", findings).into_iter().map(|part| part.value).collect();
    let level = level(source, &mut fields, findings);
    let file = fields.text("file", findings);
    let before = findings.len();
    let pan = match file {
        None => pan(source, &mut fields, layouts::layouts, findings),
        Some(file) => {
            let name = fields.text("name", findings);
            let mut pan = from_file(source, &file.value, file.span, load, findings);
            if let (Some(pan), Some(name)) = (&mut pan, name) {
                pan.name = name.value;
            }
            pan
        }
    };
    // Of a pan that could not be read, half the keys were not asked for.
    if pan.is_some() || findings.len() == before {
        let place = fields.place;
        fields.finish(findings);
        return pan.map(|pan| BandPan { pan, plays, level, span: place });
    }
    None
}

/// How levels of parts are written.
const LEVELS_HELP: &str = "write `[levels]` below the lines at the top, and under it a line for each part, as in \
                           `lead = \"beginner\"`; for everybody at once write `level = \"beginner\"` at the top";

/// The value of `level` at the top of the file, where people easily confuse it with `levels`.
fn bands_level<'a>(source: &Arc<Source>, fields: &mut Fields<'a>, findings: &mut Vec<Finding>) -> Option<Level> {
    if let Some(value) = fields.get("level")
        && matches!(value.get_ref(), DeValue::Table(_))
    {
        let message = "`level` is a text in quotes for the whole band, not a heading";
        let finding = fields.wrong(message, heading(source, fields::span(value)));
        findings.push(finding.help("did you mean `[levels]`?"));
        return None;
    }
    level(source, fields, findings)
}

/// The value of `level`, for the whole band or for one pan.
fn level<'a>(source: &Arc<Source>, fields: &mut Fields<'a>, findings: &mut Vec<Finding>) -> Option<Level> {
    let text = fields.text("level", findings)?;
    named_level(source, &text, findings)
}

/// The levels of the table `[levels]`, whose keys are names of parts, in the order of the file.
fn levels<'a>(
    source: &'a Arc<Source>,
    table: Option<(Span, &'a DeTable<'a>)>,
    findings: &mut Vec<Finding>,
) -> Vec<PartLevel> {
    let Some((place, table)) = table else { return Vec::new() };
    if table.len() > MAX_PANS {
        let message = format!("`levels` can have {MAX_PANS} parts at most, and this one has {}", table.len());
        findings.push(Finding::error(&WRONG_ENTRY, message).at(source, heading(source, place)));
        return Vec::new();
    }
    let is_level = |text: &str| Level::from_name(text).is_some();
    let mut levels = Vec::new();
    for (part, text) in fields::named_texts(source, table, "[levels]", is_level, findings) {
        let level = named_level(source, &text, findings);
        levels.extend(level.map(|level| PartLevel { part: part.value, level, span: part.span }));
    }
    levels
}

/// The level of a name, or a finding at its place.
fn named_level(source: &Arc<Source>, text: &Spanned<String>, findings: &mut Vec<Finding>) -> Option<Level> {
    let level = Level::from_name(&text.value);
    if level.is_none() {
        let names: Vec<String> = Level::ALL.iter().map(|level| format!("`{level}`")).collect();
        let finding = Finding::error(&WRONG_ENTRY, format!("`{}` is not a level", text.value)).at(source, text.span);
        let near = words::nearest(&text.value, Level::ALL.iter().map(|level| level.name()));
        findings.push(match near {
            Some(near) => finding.help(format!("did you mean `{near}`?")),
            None => finding.help(format!("choose from the levels: {}", words::and(&names))),
        });
    }
    level
}

/// A pan from a file of its own. Findings about it have their place in that file.
fn from_file(source: &Arc<Source>, path: &str, place: Span, load: Load, findings: &mut Vec<Finding>) -> Option<Pan> {
    match load(path) {
        Ok(file) => {
            let (pan, more) = read_pan(&file);
            findings.extend(more);
            pan
        }
        Err(finding) => {
            let mut finding = *finding;
            // The line that names the file is the place to mend.
            if finding.place.is_none() {
                finding = finding.at(source, place);
            }
            findings.push(finding);
            None
        }
    }
}

/// The first line of a table, so that a mark under the whole of it does not cover the file.
fn heading(source: &Arc<Source>, place: Span) -> Span {
    let line = source.line_span(source.line_of(place.start));
    Span { start: place.start, end: place.end.min(line.end).max(place.start) }
}

fn instrument<'a>(
    source: &'a Arc<Source>,
    place: Span,
    table: &'a DeTable<'a>,
    findings: &mut Vec<Finding>,
) -> Option<Percussion> {
    let mut fields = Fields::new(source, table, heading(source, place)).within("[[percussion]]");
    let name = fields.needed_text("name", findings);
    let kind = fields.needed_text("kind", findings);
    let plays = fields.texts("plays", findings).into_iter().map(|part| part.value).collect();
    let span = fields.place;
    fields.finish(findings);
    let (name, kind) = (name?, kind?);
    if kit::is_kit(&kind.value) {
        findings.push(kit::as_percussion(source, &kind.value, kind.span));
        return None;
    }
    let Some(instrument) = Instrument::from_name(&kind.value) else {
        let finding = Finding::error(&UNKNOWN_PERCUSSION, format!("`{}` is not a kind of percussion", kind.value));
        let finding = finding.at(source, kind.span);
        let known: Vec<&str> = Instrument::ALL.iter().flat_map(|instrument| instrument.names()).copied().collect();
        findings.push(match words::nearest(&kind.value, words::singular(&known)) {
            _ if PanKind::from_name(&kind.value).is_some() => {
                finding.help(format!("`{}` is a kind of pan: it goes below `[[pan]]`", kind.value))
            }
            Some(near) => finding.help(format!("did you mean `{near}`?")),
            None => {
                let names: Vec<&str> = Instrument::ALL.iter().map(|instrument| instrument.name()).collect();
                finding.help(format!("the kinds are {}", names.join(", ")))
            }
        });
        return None;
    };
    Some(Percussion { name: name.value, instrument, plays, span })
}

fn doubles<'a>(source: &Arc<Source>, names: impl Iterator<Item = (&'a String, Span)>, findings: &mut Vec<Finding>) {
    let mut seen: Vec<&String> = Vec::new();
    for (name, place) in names {
        if seen.contains(&name) {
            let finding = Finding::error(&PAN_TWICE, format!("the band has two pans or instruments called `{name}`"));
            findings.push(finding.at(source, place).help("give one of them another name"));
        }
        seen.push(name);
    }
}
