//! A fit as JSON: every key, every part, every note.

use std::collections::BTreeMap;

use serde_json::{Value, json};

use crate::fit::each::{Each, Group};
use crate::fit::octaves::{Octave, Terms, by_stroke};
use crate::fit::other_pans::{hands, swaps};
use crate::fit::plan::{KeyFit, Lack, Options, PartFit, shifted, unplayed};
use crate::text::{Edit, Span};
use crate::tune::Tune;
use crate::tune::model::Open;

/// The keys, the cheapest first, the first of them note by note; and the edits.
pub fn as_json(tune: &Tune<Open>, keys: &[KeyFit], options: &Options, each: &[Each], edits: &[Edit]) -> Value {
    let keys: Vec<Value> =
        keys.iter().enumerate().map(|(place, key)| key_json(tune, key, options, place == 0)).collect();
    let edit = |edit: &Edit| {
        let at = tune.source.position(edit.span.start);
        json!({ "line": at.line, "column": at.column, "from": tune.source.slice(edit.span), "to": edit.text })
    };
    let mut value = json!({ "keys": keys, "edits": edits.iter().map(edit).collect::<Vec<_>>() });
    let name = |part: usize| &tune.parts[part].name;
    value["nobody"] = unplayed(tune, options).iter().map(|fit| json!(name(fit.part))).collect();
    for each in each {
        let parts = value["keys"][0]["parts"].as_array_mut().into_iter().flatten();
        for part in parts.filter(|part| part["name"] == json!(name(each.part))) {
            part["each"] = each.groups.iter().map(|group| group_json(tune, group)).collect();
        }
    }
    value
}

fn key_json(tune: &Tune<Open>, key: &KeyFit, options: &Options, notes: bool) -> Value {
    let options = &Options { semitones: key.semitones, ..*options };
    let parts: Vec<Value> = key.parts.iter().map(|part| part_json(tune, key, part, options, notes)).collect();
    let lacks: Vec<Value> = key.lacks.iter().map(|lack| lack_json(key, lack)).collect();
    let mut value = json!({
        "key": key.key.to_string(),
        "semitones": key.semitones,
        "cost": key.cost,
        "parts": parts,
        "lacks": lacks,
    });
    if notes {
        let swap = |swap: &crate::fit::other_pans::Swap| {
            let (a, b) = swap.parts;
            json!({ "parts": [tune.parts[a].name, tune.parts[b].name], "cost": swap.terms.total() })
        };
        value["swaps"] = swaps(tune, &key.parts, options).iter().map(swap).collect();
    }
    value
}

fn group_json(tune: &Tune<Open>, group: &Group) -> Value {
    let pans: Vec<&str> = group.pans.iter().map(|pan| tune.band.pans[*pan].pan.name.as_str()).collect();
    json!({ "pans": pans, "moved": group.moved(), "lacking": group.fit.missing().count() })
}

fn terms_json(terms: Terms) -> Value {
    json!({
        "moves": terms.moves,
        "breaks": terms.breaks,
        "breaks_at_rests": terms.breaks_at_rests,
        "turns": terms.turns,
        "crossings": terms.crossings,
        "leaps": terms.leaps,
        "missing": terms.missing,
    })
}

fn part_json(tune: &Tune<Open>, key: &KeyFit, part: &PartFit, options: &Options, notes: bool) -> Value {
    let moved: BTreeMap<String, usize> =
        part.moves().into_iter().map(|(octaves, n)| (format!("{octaves:+}"), n)).collect();
    let mut value = terms_json(part.terms);
    value["name"] = json!(tune.parts[part.part].name);
    value["moved"] = json!(moved);
    value["lacking"] = json!(part.missing().count());
    if notes {
        value["notes"] = notes_json(tune, key, part, options);
        let hand = |hand: &crate::fit::other_pans::Hand| {
            json!({
                "pan": tune.band.pans[hand.pan].pan.name,
                "from": hand.from.map(|(section, bar)| {
                    let section = &tune.sections[section];
                    json!({ "section": section.name, "bar": section.number_of(bar as usize) })
                }),
                "moved": hand.moved,
                "cost": hand.terms.total(),
            })
        };
        let helped = part.missing().next().is_some();
        let hands = if helped { hands(tune, part, options) } else { Vec::new() };
        value["hands"] = hands.iter().map(hand).collect();
        let (torn, at_rests) = part.torn(options);
        value["jumps"] = json!({ "in_phrases": torn, "at_rests": at_rests });
    }
    value
}

/// Every stroke: where it is written, what it comes to, and what it costs with the step from the stroke before.
fn notes_json(tune: &Tune<Open>, key: &KeyFit, part: &PartFit, options: &Options) -> Value {
    let strokes = shifted(&part.line, key.semitones);
    let terms = by_stroke(&strokes, &part.moved, &options.costs);
    let all = part.strokes().zip(&strokes).zip(&terms);
    let notes = all.map(|(((placed, moved), stroke), terms)| {
        let spell = |pitch: crate::music::Pitch| key.tune.sections[placed.place.0].key.spell(pitch).to_string();
        let at = |span: Span| tune.source.position(span.start);
        let to = moved.map(|(top, low)| {
            let top = stroke.top.up(12 * top).map(spell);
            let low = stroke.low.and_then(|pitch| pitch.up(12 * low)).map(spell);
            [low, top].into_iter().flatten().collect::<Vec<_>>().join("+")
        });
        let octaves = moved.filter(|_| placed.written.octaves.0 != Octave::Open).map(|(top, _)| top);
        json!({
            "section": tune.sections[placed.place.0].name,
            "bar": tune.sections[placed.place.0].number_of(placed.place.1 as usize),
            "line": at(placed.spans.0).line,
            "column": at(placed.spans.0).column,
            "written": tune.source.slice(placed.spans.0),
            "played": to,
            "octaves": octaves,
            "costs": terms_json(if moved.is_none() { Terms { missing: options.costs.missing, ..*terms } } else { *terms }),
        })
    });
    notes.collect()
}

fn lack_json(key: &KeyFit, lack: &Lack) -> Value {
    match lack {
        Lack::Note { part, place, pitch, .. } => {
            let section = &key.tune.sections[place.0];
            json!({
                "part": key.tune.parts[*part].name,
                "section": section.name,
                "bar": section.number_of(place.1 as usize),
                "note": section.key.spell(*pitch).to_string(),
            })
        }
        Lack::Tone { section, chord, class, role } => {
            let section = &key.tune.sections[*section];
            json!({
                "section": section.name,
                "chord": chord.to_string(),
                "tone": section.key.spell_class(*class).to_string(),
                "role": role.name(),
            })
        }
    }
}
