//! What `panfold cover` puts on the screen.

use std::collections::BTreeMap;

use unicode_width::UnicodeWidthStr;

use crate::cli::screen::printable;
use crate::cli::table;
use crate::cover::share::percent;
use crate::cover::{Cover, Entry, Report, Row, Share, Wish};
use crate::pan::Pan;
use crate::text::words;
use crate::tune::Tune;
use crate::tune::model::Open;

/// How many of the missing notes are listed.
const LISTED: usize = 8;

/// One pan: for each tune a table of its parts and a sentence on each; then the missing notes that it needs most.
pub fn report(pan: &Pan, tunes: &[Tune<Open>], report: &Report) -> String {
    let mut text = format!("{}\n", heading(pan));
    for (number, tune) in tunes.iter().enumerate() {
        let entries: Vec<&Entry> = report.entries.iter().filter(|entry| entry.tune == number).collect();
        text.push_str(&format!("\n{}\n", tune.title));
        if entries.is_empty() {
            text.push_str("  no such part on pans\n");
            continue;
        }
        let mut rows = vec![
            ["part", "on", "strokes", "different notes", "on this pan", "as written", "with moves", "best key"]
                .map(String::from)
                .to_vec(),
        ];
        rows.extend(entries.iter().map(|entry| row(tune, entry)));
        text.push_str(&table::lines(&rows, &[2, 3, 4, 5, 6]));
        text.push('\n');
        for entry in entries {
            text.push_str(&format!("{}: {}.\n", tune.parts[entry.part].name, entry.sentence(pan, tune)));
        }
    }
    text.push_str(&wishes(tunes, report));
    printable(&text)
}

fn heading(pan: &Pan) -> String {
    let title = if pan.title.is_empty() { pan.kind.to_string() } else { pan.title.clone() };
    let set = pan.note_set();
    let range = match (set.lowest(), set.highest()) {
        (Some(low), Some(high)) => format!(", {low} to {high}"),
        _ => String::new(),
    };
    format!("{}: {title}; {}{range}", pan.name, words::count(set.len(), "note"))
}

fn row(tune: &Tune<Open>, entry: &Entry) -> Vec<String> {
    let cover = &entry.cover;
    let there = cover.needed.len() - cover.missing.len();
    let best = match cover.better {
        Some(better) => format!("{} {}", better.key, cell(better.share, cover.strokes)),
        None => "-".to_owned(),
    };
    vec![
        tune.parts[entry.part].name.clone(),
        entry.kind.to_string(),
        cover.strokes.to_string(),
        cover.needed.len().to_string(),
        there.to_string(),
        of(cover, cover.share.as_written),
        of(cover, cover.share.with_moves),
        best,
    ]
}

fn of(cover: &Cover, strokes: u64) -> String {
    if cover.strokes == 0 { "-".to_owned() } else { format!("{} %", percent(strokes, cover.strokes)) }
}

/// The most-needed missing notes, and the note that completes most.
fn wishes(tunes: &[Tune<Open>], report: &Report) -> String {
    if report.wishes.is_empty() {
        return String::new();
    }
    let mut heading = vec!["note", "strokes", "parts this note completes", "parts it completes with octave moves"];
    // On most pans every name is there in some octave, and the last column would be empty.
    let moves = report.wishes.iter().any(|wish| !wish.completes_with_moves.is_empty());
    heading.truncate(if moves { 4 } else { 3 });
    let mut rows = vec![heading.into_iter().map(String::from).collect::<Vec<String>>()];
    let parts = |places: &[usize]| if places.is_empty() { "-".to_owned() } else { parts(tunes, report, places) };
    rows.extend(report.wishes.iter().take(LISTED).map(|wish: &Wish| {
        let mut row = vec![wish.note.to_string(), wish.strokes.to_string(), parts(&wish.completes)];
        row.extend(moves.then(|| parts(&wish.completes_with_moves)));
        row
    }));
    let over = "Most-needed missing notes";
    let mut text = format!("\n{over}\n{}", table::lines(&rows, &[1]));
    if let Some(more) = report.wishes.len().checked_sub(LISTED).filter(|more| *more > 0) {
        text.push_str(&format!("and {}\n", words::count(more, "more note")));
    }
    text
}

/// `lead of Jetty Jam and second of 3 tunes`.
fn parts(tunes: &[Tune<Open>], report: &Report, places: &[usize]) -> String {
    let mut by_name: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for place in places {
        let entry = &report.entries[*place];
        let tune = &tunes[entry.tune];
        by_name.entry(&tune.parts[entry.part].name).or_default().push(&tune.title);
    }
    let said = by_name.iter().map(|(part, titles)| match titles.as_slice() {
        [title] => format!("{part} of {title}"),
        many => format!("{part} of {} tunes", many.len()),
    });
    words::and(&said.collect::<Vec<String>>())
}

/// Many pans: the parts of each tune in rows, the pans in columns. When the names are too long for the screen, the columns
/// have letters, and the names are listed above; when even that is too wide, there are several tables.
pub fn grid(pans: &[&Pan], tunes: &[Tune<Open>], rows: &[Row], width: usize) -> String {
    let fits = |text: &str| text.lines().all(|line| line.width() <= width);
    let every: Vec<usize> = (0..pans.len()).collect();
    let names = |column: usize| pans[column].name.clone();
    let mut text = lines(pans, tunes, rows, &every, &names);
    if !fits(&text) {
        let named = |column: usize| vec![letters(column), names(column), pans[column].kind.to_string()];
        text = table::lines(&every.iter().map(|column| named(*column)).collect::<Vec<_>>(), &[]);
        let with = |count: usize| -> Vec<String> {
            every.chunks(count).map(|columns| lines(pans, tunes, rows, columns, &letters)).collect()
        };
        // One column is shown however narrow the screen is.
        let tables = (1..=pans.len()).rev().map(with).find(|tables| tables.iter().all(|table| fits(table)));
        for table in tables.unwrap_or_else(|| with(1)) {
            text.push_str(&format!("\n{table}"));
        }
    }
    text.push_str("\npercent of the strokes that can be played; after a / with octave moves\n");
    if rows.iter().any(|row| row.octaves.iter().any(|octaves| *octaves != 0)) {
        text.push_str("^ an octave or more higher, v lower, than on the part's own kind of pan\n");
    }
    if rows.iter().any(|row| !row.marked(tunes, pans).is_empty()) {
        text.push_str("* has this part now\n");
    }
    printable(&text)
}

/// The table of some of the pans, by their numbers.
fn lines(
    pans: &[&Pan],
    tunes: &[Tune<Open>],
    rows: &[Row],
    columns: &[usize],
    head: &dyn Fn(usize) -> String,
) -> String {
    let mut heading = ["part", "on", "strokes"].map(String::from).to_vec();
    heading.extend(columns.iter().map(|column| head(*column)));
    let mut table = vec![heading];
    let mut titles = Vec::new();
    let mut tune = None;
    for row in rows {
        let of = &tunes[row.tune];
        if tune.replace(row.tune) != Some(row.tune) {
            // A title in a row of its own would widen the first column: it is put in afterwards.
            table.push(Vec::new());
            titles.push(of.title.as_str());
        }
        let now = row.marked(tunes, pans);
        let mut cells = vec![of.parts[row.part].name.clone(), row.kind.to_string(), row.strokes.to_string()];
        cells.extend(columns.iter().map(|column| {
            let mark = if now.contains(column) { "*" } else { "" };
            let far = match row.octaves[*column] {
                0 => "",
                octaves if octaves > 0 => "^",
                _ => "v",
            };
            format!("{mark}{}{far}", cell(row.shares[*column], row.strokes))
        }));
        table.push(cells);
    }
    let right: Vec<usize> = (2..columns.len() + 3).collect();
    let mut titles = titles.into_iter();
    let line = |line: &str| match line {
        "" => format!("\n{}\n", titles.next().unwrap_or_default()),
        line => format!("{line}\n"),
    };
    table::lines(&table, &right).lines().map(line).collect()
}

/// `100`, or `93/100`.
fn cell(share: Share, strokes: u64) -> String {
    if strokes == 0 {
        return "-".to_owned();
    }
    let (written, near) = (percent(share.as_written, strokes), percent(share.with_moves, strokes));
    if written == near { written.to_string() } else { format!("{written}/{near}") }
}

/// `a` to `z`, then `aa` on.
fn letters(number: usize) -> String {
    let letter = |n: usize| char::from(b'a' + (n % 26) as u8);
    if number < 26 { letter(number).to_string() } else { format!("{}{}", letter(number / 26 - 1), letter(number)) }
}
