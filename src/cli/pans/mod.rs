//! `panfold pans`: the built-in layouts, and the notes of a layout, a pan file or a band file.

mod answer;
pub mod new;
mod new_notes;

use serde_json::{Value, json};

use super::args::{PansAction, PansArgs};
use super::console::Console;
use super::table;
use super::{Outcome, Stop};
use crate::door::json::write_json;
use crate::door::loaded::{self, Named};
use crate::music::Pitch;
use crate::pan::face::{Drum, NoteArea, Ring, Sure};
use crate::pan::{Pan, layouts};
use crate::text::{Severity, finding, words};

/// Runs the command.
///
/// # Errors
/// When there is no such layout or file, or the result can't be printed.
pub fn run(args: &PansArgs, console: &mut Console) -> Result<Outcome, Stop> {
    if let Some(PansAction::New(args)) = &args.action {
        return new::run(args, console);
    }
    let out = console.out();
    let Some(name) = &args.name else {
        let pans: Vec<&Pan> = layouts::layouts().iter().collect();
        if args.json {
            write_json(out, &json!({ "pans": pans.iter().map(|pan| show_json(pan)).collect::<Vec<_>>() }))?;
        } else {
            out.write_all(list().as_bytes())?;
        }
        return Ok(Outcome::Fine);
    };
    if args.file {
        let text = layouts::layout(name).and_then(|pan| layouts::text(&pan.name));
        let Some(text) = text else {
            let finding = crate::text::Finding::error(
                &crate::pan::findings::UNKNOWN_LAYOUT,
                format!("there is no layout `{name}`"),
            );
            return Err(finding
                .help("`--file` prints the file of a built-in layout; `panfold pans` lists them")
                .into());
        };
        out.write_all(text.as_bytes())?;
        return Ok(Outcome::Fine);
    }
    let sought = loaded::pan_or_band(name).map_err(Stop::Told)?;
    let pans: Vec<&Pan> = match &sought.named {
        Named::Pan(pan) => vec![pan],
        Named::Band(band) => band.pans.iter().map(|pan| &pan.pan).collect(),
    };
    if args.json {
        write_json(out, &json!({ "pans": pans.iter().map(|pan| show_json(pan)).collect::<Vec<_>>() }))?;
    } else {
        let texts: Vec<String> = pans.iter().map(|pan| show(pan)).collect();
        out.write_all(texts.join("\n").as_bytes())?;
    }
    console.tell(&sought.findings)?;
    Ok(if finding::worst(&sought.findings) == Some(Severity::Error) { Outcome::Mend } else { Outcome::Fine })
}

/// The list of layouts.
fn list() -> String {
    let mut rows = vec![["layout", "kind", "notes", "range", "what it is"].map(String::from).to_vec()];
    rows.extend(layouts::layouts().iter().map(|pan| {
        let (name, kind, count) = (pan.name.clone(), pan.kind.to_string(), pan.note_set().len().to_string());
        vec![name, kind, count, range(pan), pan.title.clone() + doubt(pan)]
    }));
    let more = "\n`panfold pans NAME` shows where the notes lie; `panfold pans NAME --file` prints the layout to copy and change.\n";
    let marks = "(s) sketch only: your pan may have its notes in other places; (p) part of it is a guess: go by your own pan.\n";
    format!("{}{more}{marks}", table::lines(&rows, &[2]))
}

/// The mark of a layout that is only schematic, or holds a placeholder.
fn doubt(pan: &Pan) -> &'static str {
    let sure = pan.sureness;
    match [sure.pitches, sure.drums, sure.rings, sure.angles].into_iter().max() {
        Some(Sure::Placeholder) => " (p)",
        Some(Sure::Schematic) => " (s)",
        _ => "",
    }
}

fn named(pan: &Pan, pitch: Pitch) -> String {
    pan.note(pitch).map_or_else(|| pitch.to_string(), |(_, note)| note.name.to_string())
}

fn range(pan: &Pan) -> String {
    let set = pan.note_set();
    match (set.lowest(), set.highest()) {
        (Some(low), Some(high)) => format!("{} to {}", named(pan, low), named(pan, high)),
        _ => "no notes".to_owned(),
    }
}

/// The notes between the lowest and the highest that a pan does not have.
fn gaps(pan: &Pan) -> Vec<Pitch> {
    let set = pan.note_set();
    let (Some(low), Some(high)) = (set.lowest(), set.highest()) else { return Vec::new() };
    (low.key()..=high.key()).filter_map(Pitch::new).filter(|pitch| !set.has(*pitch)).collect()
}

/// One pan as text.
pub fn show(pan: &Pan) -> String {
    let mut lines = vec![if pan.title.is_empty() { pan.name.clone() } else { format!("{}: {}", pan.name, pan.title) }];
    let count = words::count(pan.note_set().len(), "note");
    let drums = words::count(pan.drums.len(), "drum");
    lines.push(format!("  a {}, {count} on {drums}, {}", pan.kind, range(pan)));
    let gaps: Vec<String> = gaps(pan).into_iter().map(|pitch| pitch.to_string()).collect();
    match gaps.len() {
        0 if pan.note_set().len() < 2 => {}
        0 => lines.push("  no gaps: every semitone of its range is there".to_owned()),
        n => lines.push(format!("  {} in its range: {}", words::count(n, "gap"), gaps.join(" "))),
    }
    lines.push(String::new());
    for (number, drum) in pan.drums.iter().enumerate() {
        lines.extend(drum_lines(number, drum, pan.drums.len()));
    }
    let off: Vec<String> = pan
        .notes()
        .filter(|(_, note)| note.cents.0 != 0.0)
        .map(|(_, note)| format!("{} {:+} cents", note.name, note.cents.0))
        .collect();
    if !off.is_empty() {
        lines.push(format!("  measured: {}", off.join(", ")));
    }
    lines.extend(doubts(pan));
    if !pan.note.is_empty() {
        lines.push(format!("  note: {}", pan.note));
    }
    if !pan.source.is_empty() {
        lines.push(format!("  source: {}", pan.source));
    }
    lines.join("\n") + "\n"
}

/// A drum's notes ring by ring; in each clockwise, beginning nearest to the player.
fn drum_lines(number: usize, drum: &Drum, drums: usize) -> Vec<String> {
    let mut lines = Vec::new();
    if drums > 1 {
        lines.push(format!("  drum {}", number + 1));
    }
    for ring in Ring::ALL {
        let mut notes: Vec<&NoteArea> = drum.notes.iter().filter(|note| note.ring == Some(ring)).collect();
        notes.sort_by(|a, b| a.angle.unwrap_or(0.0).total_cmp(&b.angle.unwrap_or(0.0)));
        let names: Vec<String> = notes.iter().map(|note| note.name.to_string()).collect();
        if !names.is_empty() {
            lines.push(format!("    {:6}  {}", ring.name(), names.join(" ")));
        }
    }
    let loose: Vec<String> =
        drum.notes.iter().filter(|note| note.ring.is_none()).map(|note| note.name.to_string()).collect();
    if !loose.is_empty() {
        lines.push(format!("    notes   {}", loose.join(" ")));
    }
    lines
}

/// What in a layout should not be taken as fact.
fn doubts(pan: &Pan) -> Vec<String> {
    let sides = [
        ("which notes it has", pan.sureness.pitches),
        ("which notes share a drum", pan.sureness.drums),
        ("which ring each note lies in", pan.sureness.rings),
        ("where on the ring each note lies", pan.sureness.angles),
    ];
    let say = |(what, sure): &(&str, Sure)| match sure {
        Sure::High => None,
        Sure::Medium => Some(format!("  sources differ a little: {what}")),
        Sure::Low => Some(format!("  not well documented: {what}")),
        Sure::Schematic => Some(format!("  sketch only: {what}")),
        Sure::Placeholder => Some(format!("  a guess, so go by your own pan: {what}")),
    };
    sides.iter().filter_map(say).collect()
}

/// One pan as JSON.
pub fn show_json(pan: &Pan) -> Value {
    let note = |(drum, note): (usize, &NoteArea)| {
        json!({
            "name": note.name.to_string(),
            "key": note.pitch.key(),
            "drum": drum + 1,
            "ring": note.ring.map(Ring::name),
            "angle": note.angle,
            "cents": note.cents.0,
        })
    };
    let set = pan.note_set();
    json!({
        "name": pan.name,
        "title": pan.title,
        "kind": pan.kind.name(),
        "count": set.len(),
        "lowest": set.lowest().map(|pitch| named(pan, pitch)),
        "highest": set.highest().map(|pitch| named(pan, pitch)),
        "gaps": gaps(pan).iter().map(ToString::to_string).collect::<Vec<_>>(),
        "drums": pan.drums.len(),
        "notes": pan.notes().map(note).collect::<Vec<_>>(),
        "confidence": {
            "pitches": pan.sureness.pitches.word(),
            "drums": pan.sureness.drums.word(),
            "rings": pan.sureness.rings.word(),
            "angles": pan.sureness.angles.word(),
        },
        "note": pan.note,
        "source": pan.source,
    })
}
