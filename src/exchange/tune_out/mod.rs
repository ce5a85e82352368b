//! A score as the text of a tune: settings, parts, form, sections, in cells that are lined up.
//!
//! - `bars`, `sections`: bars, and how they are played; `cells`, `grid`: a bar as cells.

mod bars;
mod cells;
mod grid;
mod sections;

use std::collections::BTreeMap;
use std::fmt::Write;

use num_rational::Ratio;

use self::bars::{Bar, Bars, bars};
use self::cells::SILENCE;
use self::grid::Shape;
use self::sections::{Sections, sections};
use crate::exchange::findings::TOO_MUCH_MUSIC;
use crate::exchange::lost::{Lost, Weight, Where};
use crate::exchange::names::{Names, letters, line, word};
use crate::exchange::score::{Loudness, Part, Score};
use crate::exchange::seats::{Seat, SharePans, merged, seats, shared, without_spare};
use crate::music::{Chord, Length, Meter, Tempo};
use crate::notation;
use crate::notation::findings::TOO_MANY;
use crate::notation::limits::{MAX_LINES, MAX_TIMES};
use crate::pan::Band;
use crate::text::source::MAX_TEXT_BYTES;
use crate::text::{Finding, Source};
use crate::tune::cuts;

/// Quarter notes a minute of music that gives no tempo, as in a Standard MIDI File.
const NO_TEMPO: Ratio<i64> = Ratio::new_raw(120, 1);

/// Bars in a line of a row: as many bars of eighths as a screen shows.
const BARS_A_LINE: usize = 4;

/// A line of a row that would be longer than this, in characters, gets fewer bars.
const WIDE: usize = 150;

/// How music is brought in.
#[derive(Clone, Copy, Debug, Default)]
#[non_exhaustive]
pub struct Options {
    /// Whether rows of a few notes that are left over from chords stay, as parts of their own.
    pub keep_all: bool,
    /// When parts may share a pan of the band.
    pub share_pans: SharePans,
}

/// What a score became.
#[derive(Clone, Debug)]
pub struct Imported {
    /// The text of the tune.
    pub text: String,
    /// The parts: name, what it is played on, and why.
    pub parts: Vec<(String, Seat)>,
    /// Bars of the tune as played.
    pub bars: usize,
    /// The names of the sections in the order in which they are played.
    pub form: Vec<String>,
    /// Where parts share a pan, and where they had better share one.
    pub shared: Vec<Finding>,
}

/// The tune that a score becomes.
///
/// - `band`: the band that is to play it, if it is known, and the path that the tune names it by.
/// - `fallback`: the title if the score has none.
/// - `options`: what becomes of rows of a few notes, and when parts share a pan.
/// - `lost`: collects what a tune can't say.
///
/// # Errors
/// When the text would be longer than the notation takes.
pub fn tune(
    score: &Score,
    band: Option<(&Band, &str)>,
    fallback: &str,
    options: &Options,
    lost: &mut Lost,
) -> Result<Imported, Box<Finding>> {
    let without = if options.keep_all { None } else { without_spare(score, lost) };
    let whole = without.as_ref().unwrap_or(score);
    let found = seats(whole, band.map(|(band, _)| band), options.share_pans);
    let merged = match options.share_pans {
        SharePans::Merged if band.is_some() && !whole.ours => merged(whole, &found.seats, lost),
        _ => None,
    };
    let (score, seats) = merged.as_ref().map_or((whole, &found.seats), |(score, seats)| (score, seats));
    let bars = bars(score);
    for number in &bars.filled {
        let measure = (number + 1).to_string();
        let at = Where { part: "", measure: &measure, span: None };
        lost.tell(Weight::Heard, "no meter has a measure of this length; silence is added at its end", at);
    }
    if !score.ours && score.measures.iter().all(|measure| measure.tempo.is_none()) {
        let what = "no tempo is given; 120 quarter notes a minute are written";
        lost.tell(Weight::Slight, what, Where { part: "", measure: "", span: None });
    }
    let mut names = Names::default();
    // A part without a name is called after what it is played on.
    let wanted =
        score.parts.iter().zip(seats).map(|(part, seat)| (seat.name.as_deref().unwrap_or(&part.name), seat.on));
    let names: Vec<String> =
        wanted.map(|(name, on)| if score.ours { names.keep(name, on) } else { names.give(name, on) }).collect();
    let sections = sections(&bars);
    let section_names = section_names(&sections, score.ours);
    let may_be_pickup = may_be_pickup(&sections);
    let mut writer = Writer { score, bars: &bars, names: &names, may_be_pickup, lost, text: String::new() };
    writer.header(band.map(|(_, path)| path), fallback, seats);
    let bodies: Vec<String> = sections.stretches.iter().map(|stretch| writer.section(&stretch.bars)).collect();
    let same = same_sections(&sections, &bodies, &bars);
    let order: Vec<usize> = sections.order.iter().map(|section| same[*section]).collect();
    let form: Vec<String> = order.iter().map(|section| section_names[*section].clone()).collect();
    writer.form(&order, &section_names);
    for (number, body) in bodies.iter().enumerate() {
        if same[number] == number {
            let _ = write!(writer.text, "\nsection {}\n{body}", section_names[number]);
        }
    }
    let text = tidied(&writer.text).ok_or_else(|| {
        let message = format!("`{fallback}` would be a tune of more lines than panfold reads");
        Box::new(Finding::error(&TOO_MUCH_MUSIC, message).help("bring in some of its parts only, with `--part`"))
    })?;
    let called = if merged.is_some() { called(whole) } else { names.clone() };
    let shared = band.map_or_else(Vec::new, |(band, _)| shared(whole, band, &called, &found, options.share_pans));
    let parts = names.into_iter().zip(seats.clone()).collect();
    Ok(Imported { text, parts, bars: bars.order.len(), form, shared })
}

/// What the file calls each part, or its number.
fn called(score: &Score) -> Vec<String> {
    let name = |(number, part): (usize, &Part)| match word(&part.name) {
        name if name.is_empty() => format!("part {}", number + 1),
        name => name,
    };
    score.parts.iter().enumerate().map(name).collect()
}

/// The text with its cells lined up; `None` when the notation would not take it.
fn tidied(text: &str) -> Option<String> {
    if text.len() > MAX_TEXT_BYTES || text.lines().count() > MAX_LINES {
        return None;
    }
    let (tree, findings) = notation::parse(&Source::new("imported", text));
    let whole = findings.iter().all(|finding| finding.kind != &TOO_MANY);
    let tidied = whole.then(|| notation::tidy(&tree))?;
    (tidied.len() <= MAX_TEXT_BYTES).then_some(tidied)
}

/// Whether the opening is a section of one bar that is played once, so that `check` would ask about it if it looks like a pickup.
fn may_be_pickup(sections: &Sections) -> bool {
    let Some((first, rest)) = sections.order.split_first() else { return false };
    let opening = &sections.stretches[*first];
    let again = |number: &usize| {
        let stretch = &sections.stretches[*number];
        number == first || stretch.mark.is_some() && stretch.mark == opening.mark
    };
    opening.bars.len() == 1 && !rest.is_empty() && !rest.iter().any(again)
}

/// Names for the stretches: what the music calls them, letters for the others, numbers for endings.
fn section_names(sections: &Sections, ours: bool) -> Vec<String> {
    let mut names = Names::default();
    let marked: Vec<Option<String>> = sections
        .stretches
        .iter()
        .map(|stretch| {
            let mark = stretch.mark.as_deref()?;
            Some(if ours { names.keep(mark, "section") } else { names.give(without_count(mark), "section") })
        })
        .collect();
    let only = sections.stretches.len() == 1;
    let mut letter = 0;
    let mut given: Vec<String> = Vec::with_capacity(marked.len());
    for (number, stretch) in sections.stretches.iter().enumerate() {
        let name = match (&marked[number], stretch.ending_of) {
            (Some(name), _) => name.clone(),
            (None, Some((of, ending))) if of < number => names.give(&format!("{}-{ending}", given[of]), "ending"),
            (None, _) if only => names.give("all", "all"),
            (None, _) if number == 0 && stretch.bars.len() == 1 => names.give("start", "start"),
            (None, _) => {
                letter += 1;
                names.give(&letters(letter - 1), "section")
            }
        };
        given.push(name);
    }
    given
}

/// A marker without the count that panfold's own files have after it: `verse (2 of 2)`.
fn without_count(mark: &str) -> &str {
    mark.rsplit_once(" (")
        .filter(|(_, count)| count.ends_with(')') && count.contains(" of "))
        .map_or(mark, |(name, _)| name)
}

/// For each stretch the first one with the same text that may stand for it. A pickup has a shorter bar than its text shows.
fn same_sections(sections: &Sections, bodies: &[String], bars: &Bars) -> Vec<usize> {
    let mut first: BTreeMap<(&str, Option<&str>, bool), usize> = BTreeMap::new();
    let stretches = sections.stretches.iter().zip(bodies).enumerate();
    stretches
        .map(|(number, (stretch, body))| {
            let name = stretch.mark.as_deref().map(without_count);
            *first.entry((body, name, bars.bars[stretch.bars[0]].is_pickup)).or_insert(number)
        })
        .collect()
}

struct Writer<'a> {
    score: &'a Score,
    bars: &'a Bars,
    names: &'a [String],
    /// Whether the opening could be taken for a pickup.
    may_be_pickup: bool,
    lost: &'a mut Lost,
    text: String,
}

impl Writer<'_> {
    fn header(&mut self, band: Option<&str>, fallback: &str, seats: &[Seat]) {
        let title = self.score.title.as_deref().map(line).filter(|title| !title.is_empty());
        let title = title.unwrap_or_else(|| line(fallback));
        let mut put = |word: &str, value: &str| {
            let _ = writeln!(self.text, "{word:<7} {value}");
        };
        put("title", if title.is_empty() { "untitled" } else { &title });
        if let Some(by) = self.score.by.as_deref().map(line).filter(|by| !by.is_empty()) {
            put("by", &by);
        }
        if let Some(band) = band {
            put("band", band);
        }
        if let Some(first) = self.bars.order.first().map(|bar| &self.bars.bars[*bar]) {
            put("key", &first.key.to_string());
            put("meter", &first.meter.to_string());
            put("tempo", &beats(first.tempo.unwrap_or(NO_TEMPO), first.meter).to_string());
            if first.is_pickup {
                put("pickup", &first.length.per(first.meter.beat()).to_string());
            }
        }
        if let Some((first, second)) = self.score.swing {
            put("swing", &format!("{first}:{second}"));
        }
        put("roll", "none  # without this line notes of two beats and more are rolled");
        self.text.push('\n');
        let width = self.names.iter().map(|name| name.chars().count()).max().unwrap_or(0);
        for (name, seat) in self.names.iter().zip(seats) {
            let _ = writeln!(self.text, "part {name:<width$} on {:<13} # {}", seat.on, seat.why);
        }
    }

    fn form(&mut self, order: &[usize], names: &[String]) {
        self.text.push_str("\nform ");
        let mut at = 0;
        let mut width = 5;
        while at < order.len() {
            let same = order[at..].iter().take_while(|section| **section == order[at]);
            let times = same.take(MAX_TIMES as usize).count();
            let step =
                if times > 1 { format!(" {} x{times}", names[order[at]]) } else { format!(" {}", names[order[at]]) };
            if width + step.len() > WIDE {
                self.text.push_str("\nform ");
                width = 5;
            }
            width += step.len();
            self.text.push_str(&step);
            at += times;
        }
        self.text.push('\n');
    }

    /// A section's own settings and its rows.
    fn section(&mut self, numbers: &[usize]) -> String {
        let mut text = String::new();
        let bars: Vec<&Bar> = numbers.iter().map(|number| &self.bars.bars[*number]).collect();
        let first = bars[0];
        let head = &self.bars.bars[self.bars.order[0]];
        if first.key != head.key {
            let _ = writeln!(text, "  key {}", first.key);
        }
        if first.meter != head.meter {
            let _ = writeln!(text, "  meter {}", first.meter);
        }
        let tempo = |bar: &Bar| beats(bar.tempo.unwrap_or(NO_TEMPO), bar.meter);
        if tempo(first) != tempo(head) {
            let _ = writeln!(text, "  tempo {}", tempo(first));
        }
        let mut rows: Vec<(String, Vec<String>)> = Vec::new();
        rows.extend(self.chords(&bars).map(|bars| ("chords".to_owned(), bars)));
        rows.extend(self.dynamics(&bars).map(|bars| ("dynamics".to_owned(), bars)));
        rows.extend(self.words(&bars).map(|bars| ("words".to_owned(), bars)));
        for part in 0..self.names.len() {
            rows.extend(self.part(&bars, part).map(|bars| (self.names[part].clone(), bars)));
        }
        if rows.is_empty() {
            // A section needs a row, and silence is something that a band plays.
            rows.extend(self.names.first().map(|name| (name.clone(), vec![SILENCE.to_owned(); bars.len()])));
        }
        text.push_str(&lines(&rows, bars.len()));
        text
    }

    /// The row of a part; `None` if it rests throughout.
    fn part(&mut self, bars: &[&Bar], part: usize) -> Option<Vec<String>> {
        let silent = |bar: &&Bar| bar.pieces.iter().all(|(m, _)| self.score.parts[part].of_measure(*m).is_empty());
        if bars.iter().all(silent) {
            return None;
        }
        let swings = self.score.swing.is_some_and(|(first, second)| first != second);
        let mut row: Vec<String> = Vec::with_capacity(bars.len());
        for bar in bars {
            let notes = bar.notes(self.score, part);
            let shape = Shape { length: bar.length, meter: bar.meter, swings };
            let written = cells::bar(&notes, &shape, bar.key, self.score.ours);
            if written.moved {
                let measure = (bar.pieces[0].0 + 1).to_string();
                let at = Where { part: &self.names[part], measure: &measure, span: None };
                lost_moved(self.lost, at);
            }
            row.push(written.text);
        }
        cuts::say(&mut row, bars[0].meter, bars[0].is_pickup.then_some(bars[0].length));
        if let ([only], true, 0) = (row.as_mut_slice(), self.may_be_pickup && !bars[0].is_pickup, bars[0].pieces[0].0) {
            cuts::say_whole(only, bars[0].meter);
        }
        Some(again(row))
    }

    /// The row of chords; `None` if the section has none.
    fn chords(&mut self, bars: &[&Bar]) -> Option<Vec<String>> {
        let before = self.chord_before(bars[0]);
        let any = bars.iter().any(|bar| !bar.chords(self.score).is_empty());
        if !any && before.is_none() {
            return None;
        }
        let mut row = Vec::with_capacity(bars.len());
        for (number, bar) in bars.iter().enumerate() {
            let mut chords: Vec<(Length, String)> =
                bar.chords(self.score).into_iter().map(|(start, chord)| (start, chord_text(chord))).collect();
            if number == 0 && chords.first().is_none_or(|(start, _)| !start.is_zero()) {
                chords.insert(0, (Length::ZERO, chord_text(before.flatten())));
            }
            row.push(self.marks(&chords, bar));
        }
        cuts::say(&mut row, bars[0].meter, bars[0].is_pickup.then_some(bars[0].length));
        // A section without chords has none.
        let none =
            |bar: &String| bar.split_whitespace().all(|cell| matches!(cell, "-" | "N.C.") || cell.ends_with(':'));
        (!row.iter().all(none)).then(|| again(row))
    }

    /// The chord that holds when a bar begins, by the order written; `None` if no chord was written before.
    fn chord_before(&self, bar: &Bar) -> Option<Option<Chord>> {
        let measures = self.score.measures[..bar.pieces[0].0].iter().rev();
        let last = measures.filter_map(|measure| measure.chords.last()).next();
        last.map(|(_, chord)| *chord)
    }

    fn marks(&mut self, marks: &[(Length, String)], bar: &Bar) -> String {
        let written = cells::marks(marks, bar.length, "-");
        if written.moved {
            let measure = (bar.pieces[0].0 + 1).to_string();
            lost_moved(self.lost, Where { part: "", measure: &measure, span: None });
        }
        written.text
    }

    fn dynamics(&mut self, bars: &[&Bar]) -> Option<Vec<String>> {
        if bars.iter().all(|bar| bar.dynamics(self.score).is_empty()) {
            return None;
        }
        let word = |mark| match mark {
            Loudness::Mark(mark) => mark.word().to_owned(),
            Loudness::Growing => "<".to_owned(),
            Loudness::Falling => ">".to_owned(),
        };
        let row = bars.iter().map(|bar| {
            let marks: Vec<(Length, String)> =
                bar.dynamics(self.score).into_iter().map(|(start, mark)| (start, word(mark))).collect();
            self.marks(&marks, bar)
        });
        Some(row.collect())
    }

    fn words(&self, bars: &[&Bar]) -> Option<Vec<String>> {
        let row: Vec<String> = bars.iter().map(|bar| line(&bar.words(self.score))).collect();
        row.iter().any(|text| !text.is_empty()).then_some(row)
    }
}

fn lost_moved(lost: &mut Lost, at: Where) {
    lost.tell(Weight::Otherwise, "cells can't say this exactly; it is moved to the nearest", at);
}

fn chord_text(chord: Option<Chord>) -> String {
    chord.map_or_else(|| "N.C.".to_owned(), |chord| chord.to_string())
}

/// A tempo in beats of the meter, held within what the notation takes.
fn beats(quarters_a_minute: Ratio<i64>, meter: Meter) -> Tempo {
    let beats = quarters_a_minute / meter.beat().ratio();
    let beats = *beats.numer() as f64 / *beats.denom() as f64;
    let (slowest, fastest) = (crate::music::tempo::SLOWEST, crate::music::tempo::FASTEST);
    Tempo::bpm(beats.clamp(slowest.beats_a_minute(), fastest.beats_a_minute())).unwrap_or_default()
}

/// Writes bars that repeat the one before as `%`; a bar of one cell is short enough already.
fn again(row: Vec<String>) -> Vec<String> {
    let same = |number: usize| number > 0 && row[number] == row[number - 1] && row[number].contains(' ');
    (0..row.len()).map(|number| if same(number) { "%".to_owned() } else { row[number].clone() }).collect()
}

/// The rows of a section, some bars a line.
fn lines(rows: &[(String, Vec<String>)], bars: usize) -> String {
    let mut text = String::new();
    let mut at = 0;
    while at < bars {
        let widest = |number: usize| rows.iter().map(|(_, row)| row[number].chars().count() + 3).max().unwrap_or(0);
        let mut width = 0;
        let fits = (at..bars.min(at + BARS_A_LINE)).take_while(|number| {
            width += widest(*number);
            *number == at || width <= WIDE
        });
        let to = at + fits.count();
        if at > 0 {
            text.push('\n');
        }
        for (name, row) in rows {
            let _ = writeln!(text, "  {name} | {} |", row[at..to].join(" | "));
        }
        at = to;
    }
    text
}
