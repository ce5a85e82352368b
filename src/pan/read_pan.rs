//! Reading a pan: a file of its own, or a `[[pan]]` of a band file.
//!
//! One text may hold all notes of a ring (`outer = "C4 F4 Bb4"`), with `.` for an empty place, `start` for the angle of the first place,
//! and `G2@109.4` for a note at an angle of its own: layouts are long, and a table entry for each note would hide the ring.

use std::sync::Arc;

use toml::de::DeTable;

use super::face::{Drum, NoteArea, Pan, Ring, Sure, Sureness};
use super::fields::{self, Fields, number, span};
use super::findings::{NO_SUCH_NOTE, NOTE_TWICE, NOTHING_THERE, UNKNOWN_LAYOUT, WRONG_ENTRY};
use super::instrument::Instrument;
use super::kind::PanKind;
use crate::music::{Cents, NoteName};
use crate::text::{Finding, Source, Span, Spanned, words};

/// How far out of tune a note may be, in cents: a semitone, beyond which it would be another note.
pub(crate) const MAX_CENTS: f64 = 100.0;

/// How many drums a pan may have: more than any bass.
pub const MAX_DRUMS: usize = 24;

/// Gives the layouts that a pan may start from. A function, since this file also reads the built-in layouts, which start from none.
pub type Layouts = fn() -> &'static [Pan];

/// The layout of a name (`lead-c`); for a kind's name or one of its other names (`tenor`), the kind's first layout.
pub fn among<'a>(layouts: &'a [Pan], name: &str) -> Option<&'a Pan> {
    let plain = name.to_lowercase().replace([' ', '_'], "-");
    let of_kind = || PanKind::from_name(name).and_then(|kind| layouts.iter().find(|pan| pan.kind == kind));
    layouts.iter().find(|pan| pan.name == plain).or_else(of_kind)
}

/// Reads a pan file that may start from one of some layouts.
///
/// `None` when so much is wrong that there is no pan; else the pan with what could be read of it.
pub(crate) fn read_pan_from(source: &Arc<Source>, layouts: Layouts) -> (Option<Pan>, Vec<Finding>) {
    let mut findings = Vec::new();
    let table = fields::parse(source, &mut findings);
    if !findings.is_empty() {
        return (None, findings);
    }
    let mut fields = Fields::new(source, table.get_ref(), Span::default());
    let pan = pan(source, &mut fields, layouts, &mut findings);
    fields.finish(&mut findings);
    (pan, findings)
}

/// The pan of a table; the caller still has to look for unknown keys.
pub fn pan(source: &Arc<Source>, fields: &mut Fields, layouts: Layouts, findings: &mut Vec<Finding>) -> Option<Pan> {
    let before = findings.len();
    let name = fields.needed_text("name", findings);
    let base = base(source, fields, layouts, findings);
    let mut text = |key, findings: &mut Vec<Finding>| fields.text(key, findings).map(|text| text.value);
    let (title, facts, note) = (text("title", findings), text("source", findings), text("note", findings));
    let own = own_drums(source, fields, findings);
    let sureness = sureness(source, fields, findings);
    let (name, mut pan) = (name?, base?);
    pan.name = name.value;
    pan.title = title.unwrap_or(pan.title);
    pan.source = facts.unwrap_or(pan.source);
    pan.note = note.unwrap_or(pan.note);
    if let Some(own) = own {
        pan.sureness = own.sureness;
        pan.drums = own.drums;
    }
    pan.sureness = sureness.unwrap_or(pan.sureness);
    change(source, fields, &mut pan, findings);
    doubles(source, fields.place, &pan, findings);
    if pan.notes().next().is_none() && findings.len() == before {
        let finding = Finding::error(&NOTHING_THERE, format!("the pan `{}` has no notes", pan.name));
        findings.push(
            finding
                .at(source, name.span)
                .help("start from a layout (`layout = \"lead-c\"`), or give `notes` or `drums`"),
        );
    }
    Some(pan)
}

/// The layout that a pan starts from, or an empty pan of its kind.
fn base(source: &Arc<Source>, fields: &mut Fields, layouts: Layouts, findings: &mut Vec<Finding>) -> Option<Pan> {
    let layout = fields.text("layout", findings);
    let kind = fields.text("kind", findings);
    match (layout, kind) {
        (Some(layout), None) => {
            let found = among(layouts(), &layout.value).cloned();
            if found.is_none() {
                findings.push(unknown_layout(source, &layout, layouts()));
            }
            found
        }
        (None, Some(kind)) => match PanKind::from_name(&kind.value) {
            Some(kind) => Some(empty(kind)),
            None => {
                findings.push(unknown_kind(source, &kind));
                None
            }
        },
        (Some(_), Some(kind)) => {
            let finding = Finding::error(&WRONG_ENTRY, "a pan has a `layout` or a `kind`, not both");
            findings.push(finding.at(source, kind.span).help("the layout says which kind it is: take `kind` out"));
            None
        }
        (None, None) => {
            let finding = Finding::error(&WRONG_ENTRY, "the pan says neither its `layout` nor its `kind`");
            let help =
                "write `layout = \"lead-c\"` to start from a layout (`panfold pans` lists them), or `kind = \"lead\"`";
            findings.push(finding.at(source, fields.place).help(help));
            None
        }
    }
}

fn empty(kind: PanKind) -> Pan {
    Pan {
        name: String::new(),
        title: String::new(),
        kind,
        drums: Vec::new(),
        sureness: Sureness::default(),
        source: String::new(),
        note: String::new(),
    }
}

fn unknown_layout(source: &Arc<Source>, layout: &Spanned<String>, layouts: &[Pan]) -> Finding {
    let names: Vec<&str> = layouts.iter().map(|pan| pan.name.as_str()).collect();
    let finding = Finding::error(&UNKNOWN_LAYOUT, format!("there is no layout `{}`", layout.value));
    let finding = finding.at(source, layout.span);
    let kinds: Vec<&str> = PanKind::ALL.iter().flat_map(|kind| kind.names()).copied().collect();
    if Instrument::from_name(&layout.value).is_some() {
        return finding
            .help(format!("`{}` is percussion: it goes below `[[percussion]]`, as its `kind`", layout.value));
    }
    match words::nearest(&layout.value, names.iter().copied().chain(words::singular(&kinds))) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => finding.help(format!("the layouts are {}", names.join(", "))),
    }
}

fn unknown_kind(source: &Arc<Source>, kind: &Spanned<String>) -> Finding {
    let finding = Finding::error(&UNKNOWN_LAYOUT, format!("`{}` is not a kind of pan", kind.value));
    let finding = finding.at(source, kind.span);
    let known: Vec<&str> = PanKind::ALL.iter().flat_map(|kind| kind.names()).copied().collect();
    match words::nearest(&kind.value, words::singular(&known)) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None => {
            let names: Vec<&str> = PanKind::ALL.iter().map(|kind| kind.name()).collect();
            finding.help(format!("the kinds are {}", names.join(", ")))
        }
    }
}

/// A pan's own drums, and how sure they are when nothing else is said: the owner knows the order of the notes, but not where exactly
/// they lie on the ring.
struct Own {
    drums: Vec<Drum>,
    sureness: Sureness,
}

fn own_drums(source: &Arc<Source>, fields: &mut Fields, findings: &mut Vec<Finding>) -> Option<Own> {
    let tables = fields.tables("drums", findings);
    let flat = fields.notes("notes", findings);
    if tables.len() > MAX_DRUMS {
        let message = format!("a pan can have {MAX_DRUMS} drums at most, and this one has {}", tables.len());
        findings.push(Finding::error(&WRONG_ENTRY, message).at(source, tables[MAX_DRUMS].0));
    }
    if !tables.is_empty() {
        let drums = tables.into_iter().take(MAX_DRUMS).map(|(place, table)| drum(source, place, table, findings));
        let sureness = Sureness { angles: Sure::Schematic, ..Sureness::default() };
        return Some(Own { drums: drums.collect(), sureness });
    }
    if flat.is_empty() {
        return None;
    }
    let area = |name: Spanned<NoteName>| note_area(name.value, None, None);
    let notes = flat.into_iter().filter_map(area).collect();
    Some(Own { drums: vec![Drum { notes, dead: Vec::new() }], sureness: Sureness::default() })
}

/// A drum: its rings' notes clockwise, spread evenly from `start` degrees on, unless a note says its own angle.
fn drum<'a>(source: &'a Arc<Source>, place: Span, table: &'a DeTable<'a>, findings: &mut Vec<Finding>) -> Drum {
    let mut fields = Fields::new(source, table, place);
    let start = fields.number("start", (0.0, 360.0), "degrees", findings).unwrap_or(0.0);
    let mut notes = Vec::new();
    for ring in Ring::ALL {
        let all = fields.places(ring.name(), findings);
        let step = 360.0 / all.len().max(1) as f64;
        let placed = all.into_iter().enumerate().filter_map(|(i, placed)| {
            let placed = placed?;
            let angle = placed.angle.unwrap_or((start + step * i as f64).rem_euclid(360.0));
            note_area(placed.name.value, Some(ring), Some(angle))
        });
        notes.extend(placed);
    }
    notes.extend(fields.notes("notes", findings).into_iter().filter_map(|name| note_area(name.value, None, None)));
    fields.finish(findings);
    Drum { notes, dead: Vec::new() }
}

fn note_area(name: NoteName, ring: Option<Ring>, angle: Option<f64>) -> Option<NoteArea> {
    Some(NoteArea { name, pitch: name.pitch()?, ring, angle, cents: Cents(0.0) })
}

/// `confidence = { pitches = "high", … }`.
fn sureness(source: &Arc<Source>, fields: &mut Fields, findings: &mut Vec<Finding>) -> Option<Sureness> {
    let (place, table) = fields.table("confidence", findings)?;
    let mut fields = Fields::new(source, table, place);
    let mut one = |key| {
        let word = fields.text(key, findings)?;
        let all = [Sure::High, Sure::Medium, Sure::Low, Sure::Schematic, Sure::Placeholder];
        let found = all.into_iter().find(|sure| sure.word() == word.value);
        if found.is_none() {
            let words: Vec<&str> = all.iter().map(|sure| sure.word()).collect();
            findings.push(fields.wrong(format!("`{key}` is {}", words::or(&words)), word.span));
        }
        found
    };
    let [pitches, drums, rings, angles] =
        ["pitches", "drums", "rings", "angles"].map(|key| one(key).unwrap_or_default());
    fields.finish(findings);
    Some(Sureness { pitches, drums, rings, angles })
}

/// `without`, `with` and `cents`.
fn change(source: &Arc<Source>, fields: &mut Fields, pan: &mut Pan, findings: &mut Vec<Finding>) {
    for name in fields.notes("without", findings).into_iter() {
        let pitch = name.value.pitch();
        let has = pan.drums.iter().any(|drum| drum.notes.iter().any(|note| Some(note.pitch) == pitch));
        if has {
            for drum in &mut pan.drums {
                drum.dead.extend(drum.notes.extract_if(.., |note| Some(note.pitch) == pitch));
            }
        } else {
            findings.push(no_such_note(source, "without", name.value, name.span, pan));
        }
    }
    let more = fields.notes("with", findings).into_iter();
    let more: Vec<NoteArea> = more.filter_map(|name| note_area(name.value, None, None)).collect();
    if !more.is_empty() {
        match pan.drums.last_mut() {
            Some(drum) => drum.notes.extend(more),
            None => pan.drums.push(Drum { notes: more, dead: Vec::new() }),
        }
    }
    let Some((_, table)) = fields.table("cents", findings) else { return };
    let mut measured: Vec<_> = table.iter().collect();
    measured.sort_by_key(|(key, _)| key.span().start);
    for (key, value) in measured {
        let name = match fields::note(key.get_ref()) {
            Ok(name) => name,
            Err(finding) => {
                findings.push(finding.at(source, span(key)));
                continue;
            }
        };
        let Some(cents) = number(value.get_ref()).filter(|cents| cents.abs() <= MAX_CENTS) else {
            let message = format!(
                "cents of `{name}` are a number from -{MAX_CENTS} to {MAX_CENTS}, not `{}`",
                source.slice(span(value))
            );
            findings.push(Finding::error(&WRONG_ENTRY, message).at(source, span(value)));
            continue;
        };
        let mut areas = pan.drums.iter_mut().flat_map(|drum| &mut drum.notes);
        match areas.find(|note| Some(note.pitch) == name.pitch()) {
            Some(area) => area.cents = Cents(cents),
            None => findings.push(no_such_note(source, "cents", name, span(key), pan)),
        }
    }
}

fn no_such_note(source: &Arc<Source>, key: &str, name: NoteName, place: Span, pan: &Pan) -> Finding {
    let finding = Finding::error(&NO_SUCH_NOTE, format!("`{key}` names `{name}`, which the pan does not have"));
    let class = name.tone.class();
    let same: Vec<String> = pan
        .notes()
        .filter(|(_, note)| note.pitch.class() == class)
        .map(|(_, note)| format!("`{}`", note.name))
        .collect();
    let finding = finding.at(source, place);
    if same.is_empty() {
        finding.help("see `panfold pans` for its notes")
    } else {
        finding.help(format!("write one that it has: {}", words::and(&same)))
    }
}

/// Reports notes that a pan has twice.
fn doubles(source: &Arc<Source>, place: Span, pan: &Pan, findings: &mut Vec<Finding>) {
    let mut seen: Vec<&NoteArea> = Vec::new();
    for (_, note) in pan.notes() {
        if let Some(first) = seen.iter().find(|other| other.pitch == note.pitch) {
            let names = if first.name == note.name {
                format!("`{}` twice", note.name)
            } else {
                format!("`{}` and `{}`, which are one note", first.name, note.name)
            };
            let finding = Finding::error(&NOTE_TWICE, format!("the pan `{}` has {names}", pan.name));
            findings.push(finding.at(source, place).help("take one out, or see whether an octave is mistyped"));
        }
        seen.push(note);
    }
}
