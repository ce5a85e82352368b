//! What `panfold cover` finds, as JSON for other programs; `panfold cover --help` describes it.

use serde_json::{Value, json};

use crate::cover::{Entry, InKey, Report, Row, Share};
use crate::pan::{NoteSet, Pan};
use crate::tune::Tune;
use crate::tune::model::Open;

/// One pan.
pub fn report(pan: &Pan, tunes: &[Tune<Open>], report: &Report) -> Value {
    let place = |place: &usize| {
        let entry = &report.entries[*place];
        let tune = &tunes[entry.tune];
        json!({ "file": tune.source.name(), "tune": tune.title, "part": tune.parts[entry.part].name })
    };
    let missing: Vec<Value> = report
        .wishes
        .iter()
        .map(|wish| {
            json!({
                "note": wish.note.to_string(),
                "strokes": wish.strokes,
                "gained": wish.gained,
                "completes": wish.completes.iter().map(place).collect::<Vec<Value>>(),
                "completes_with_moves": wish.completes_with_moves.iter().map(place).collect::<Vec<Value>>(),
            })
        })
        .collect();
    let parts: Vec<Value> = report.entries.iter().map(|entry| part(pan, &tunes[entry.tune], entry)).collect();
    json!({ "pan": this(pan), "parts": parts, "missing": missing })
}

fn this(pan: &Pan) -> Value {
    json!({ "name": pan.name, "title": pan.title, "kind": pan.kind.name(), "notes": names(pan.note_set()) })
}

fn part(pan: &Pan, tune: &Tune<Open>, entry: &Entry) -> Value {
    let cover = &entry.cover;
    let needed: Vec<Value> = entry
        .need
        .notes()
        .into_iter()
        .map(|(note, strokes)| json!({ "note": note.to_string(), "strokes": strokes }))
        .collect();
    let now = |(pan, share): &(usize, Share)| {
        json!({
            "pan": tune.band.pans[*pan].pan.name,
            "as_written": share.as_written,
            "with_moves": share.with_moves,
        })
    };
    json!({
        "file": tune.source.name(),
        "tune": tune.title,
        "part": tune.parts[entry.part].name,
        "on": entry.kind.name(),
        "strokes": cover.strokes,
        "needed": needed,
        "missing": names(cover.missing),
        "as_written": cover.share.as_written,
        "with_moves": cover.share.with_moves,
        "moved": cover.moved,
        "better": cover.better.as_ref().map(better),
        "octaves": entry.octaves,
        "extra": {
            "as_written": names(entry.extra.as_written),
            "with_moves": names(entry.extra.with_moves),
            "proved": entry.extra.proved,
        },
        "now": entry.now.iter().map(now).collect::<Vec<Value>>(),
        "in_reach": entry.is_in_reach(pan),
        "verdict": entry.sentence(pan, tune),
    })
}

fn better(better: &InKey) -> Value {
    json!({
        "key": better.key.to_string(),
        "semitones": better.semitones,
        "as_written": better.share.as_written,
        "with_moves": better.share.with_moves,
        "moved": better.moved,
    })
}

/// Many pans.
pub fn grid(pans: &[&Pan], tunes: &[Tune<Open>], rows: &[Row]) -> Value {
    let row = |row: &Row| {
        let tune = &tunes[row.tune];
        let now = row.marked(tunes, pans);
        let on = |(column, share): (usize, &Share)| {
            let octaves = row.octaves[column];
            json!({
                "pan": pans[column].name,
                "as_written": share.as_written,
                "with_moves": share.with_moves,
                "octaves": octaves,
                "plays_it_now": now.contains(&column),
            })
        };
        json!({
            "file": tune.source.name(),
            "tune": tune.title,
            "part": tune.parts[row.part].name,
            "on": row.kind.name(),
            "strokes": row.strokes,
            "pans": row.shares.iter().enumerate().map(on).collect::<Vec<Value>>(),
        })
    };
    let pans: Vec<Value> = pans.iter().map(|pan| this(pan)).collect();
    json!({ "pans": pans, "parts": rows.iter().map(row).collect::<Vec<Value>>() })
}

fn names(set: NoteSet) -> Vec<String> {
    set.iter().map(|note| note.to_string()).collect()
}
