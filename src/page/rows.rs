//! What the player plays bar by bar, as buttons that a player taps, and when each bar's cells begin.

use std::collections::HashMap;
use std::fmt::Write;

use super::score::micros;
use crate::drawing::comeback::times;
use crate::drawing::rows::{self, BarCells, Cell, SectionRows};
use crate::drawing::{line, svg};
use crate::music::Length;
use crate::pan::Pan;
use crate::performance::Performance;
use crate::performance::pass::{Pass, passes};
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Event;

/// How much wider than their least width cells are drawn: 14 points for the name of a note.
const SCALE: f64 = 1.15;

/// The rows of a player.
pub struct Rows {
    /// As HTML.
    pub html: String,
    /// For each bar that is shown, when its cells begin, in microseconds from the start of the bar.
    pub cells: Vec<Vec<i64>>,
    /// For each bar as played, the number of the bar that is shown for it; -1 where the player rests for a whole section.
    pub shown: Vec<i64>,
}

/// Writes the rows.
///
/// - `parts`: the numbers of the parts, whose rows stand under each other.
/// - `pan`: the pan that plays them, whose own names the notes get.
pub fn write(tune: &Tune, parts: &[usize], pan: Option<&Pan>, written: &Performance) -> Rows {
    let passes = passes(tune, None, false);
    let mut out = Rows { html: String::new(), cells: Vec::new(), shown: Vec::new() };
    let mut numbers: HashMap<(u32, u32), i64> = HashMap::new();
    for section in rows::rows(tune, parts, pan, None) {
        let Some(pass) = passes.iter().find(|pass| pass.number == section.section) else { continue };
        head(&section, &mut out.html);
        if section.rests {
            let _ = writeln!(out.html, "<p>rest for {}</p></div>", words::count(section.of, "bar"));
            continue;
        }
        out.html.push_str("<div class=\"bars\">\n");
        for passage in &section.passages {
            for (bar, picture) in passage.bars.iter().zip(line::bars(&section, &passage.bars, SCALE)) {
                let number = out.cells.len();
                out.cells.push(cells(bar, pass, parts, written));
                let of_section = bar.number + section.first;
                let name = svg::escape(&format!("{}, bar {of_section}: {}", section.name, said(bar, &section.labels)));
                let picture = svg::silent_element(&picture);
                let _ = write!(
                    out.html,
                    "<button type=\"button\" class=\"bar\" data-shown=\"{number}\"\
                     ><span class=\"unseen\">{name}</span><b aria-hidden=\"true\">{of_section}</b>{picture}</button>"
                );
                for time in 0..passage.times {
                    let played = bar.number + time * passage.bars.len();
                    numbers.insert((section.section as u32, played as u32), number as i64);
                }
            }
            if passage.times > 1 {
                let _ = write!(out.html, "<span class=\"times\">{}</span>", times(passage.times));
            }
        }
        out.html.push_str("</div></div>\n");
    }
    out.shown = written.bars.iter().map(|bar| numbers.get(&(bar.section, bar.bar)).copied().unwrap_or(-1)).collect();
    out
}

/// Which bars of the tune the playings of a section are: `bars 5 to 12 and 29 to 36 of the tune`.
fn in_tune(section: &SectionRows) -> String {
    let playing = |begins: &usize| match begins + section.first - 1 {
        first if section.of == 1 => first.to_string(),
        first => format!("{first} to {}", first + section.of - 1),
    };
    let playings: Vec<String> = section.begins.iter().map(playing).collect();
    format!("bars {} of the tune", words::and(&playings))
}

fn head(section: &SectionRows, html: &mut String) {
    let (name, facts) = (svg::escape(&section.name), svg::escape(&section.said()));
    let (number, in_tune) = (section.section, in_tune(section));
    let _ = writeln!(
        html,
        "<div class=\"section\"><h3><button type=\"button\" data-rows=\"{number}\">{name}</button> \
         <span class=\"quiet\">{facts}; {in_tune}</span></h3>"
    );
}

/// What is struck in a bar, row by row, for those who can't see it.
fn said(bar: &BarCells, labels: &[String]) -> String {
    let label = |row: usize| labels.get(row).map_or(String::new(), |label| format!("{label}: "));
    let rows: Vec<String> =
        bar.rows.iter().enumerate().map(|(row, cells)| format!("{}{}", label(row), strokes(cells))).collect();
    rows.join("; ")
}

fn strokes(cells: &[Cell]) -> String {
    let strokes = cells.iter().filter_map(|cell| match cell {
        Cell::Struck { names, rolled, .. } => {
            let names: Vec<String> = names.iter().map(|name| format!("{}{}", name.text, name.octave)).collect();
            Some(format!("{}{}", names.join(" and "), if *rolled { " rolled" } else { "" }))
        }
        _ => None,
    });
    let strokes: Vec<String> = strokes.collect();
    if strokes.is_empty() { "no stroke".to_owned() } else { strokes.join(", ") }
}

/// When the cells of a bar begin, with the swing that is played there.
fn cells(bar: &BarCells, pass: &Pass, parts: &[usize], written: &Performance) -> Vec<i64> {
    let rows = parts.iter().filter_map(|part| pass.section.rows[*part].as_ref());
    let events: Vec<&Event> = rows.flat_map(|row| &row.events).collect();
    let straight = |time: Length| events.iter().any(|event| event.straight && event.start == time);
    let at = |time: Length| micros(written, pass.moment(time, straight(time)));
    let starts = bar.beats.iter().flat_map(|beat| &beat.starts);
    starts.map(|start| at(bar.start + *start) - at(bar.start)).collect()
}
