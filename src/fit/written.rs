//! Rows of a part written out in the notation, for rows that are in no file yet.

use num_rational::Ratio;

use crate::hands::sharing::Rows;
use crate::music::{Length, Pitch};
use crate::notation::limits::MAX_CELLS;
use crate::tune::Tune;
use crate::tune::cuts;
use crate::tune::model::{Event, Row, Section, Struck};

/// The sections, in the order of the file, with a row of each of these names.
///
/// `None` when a bar would need more cells than a bar may have.
pub fn written(tune: &Tune, names: &[String], rows: &[Rows]) -> Option<String> {
    let mut text = String::new();
    for (number, section) in tune.sections.iter().enumerate() {
        if rows.iter().all(|rows| rows[number].as_ref().is_none_or(|row| row.events.is_empty())) {
            continue;
        }
        text.push_str(&format!("section {}\n", section.name));
        for (name, rows) in names.iter().zip(rows) {
            let Some(row) = &rows[number] else { continue };
            let mut bars =
                (0..section.bars()).map(|bar| bar_cells(tune, section, row, bar)).collect::<Option<Vec<String>>>()?;
            let opens = tune.form.first().is_some_and(|step| step.section == number);
            cuts::say(&mut bars, section.meter, tune.pickup.filter(|_| opens));
            let times: u32 = tune.form.iter().filter(|step| step.section == number).map(|step| step.times).sum();
            let once = opens && times == 1 && tune.form.len() > 1;
            if let ([only], true, None) = (bars.as_mut_slice(), once, tune.pickup) {
                cuts::say_whole(only, section.meter);
            }
            text.push_str(&format!("  {name} |"));
            for (bar, cells) in bars.iter().enumerate() {
                let again = bar > 0 && bars[bar - 1] == *cells;
                text.push_str(&format!(" {} |", if again { "%" } else { cells }));
            }
            text.push('\n');
        }
    }
    Some(text)
}

/// The cells of a bar: as few as show every start and end.
fn bar_cells(tune: &Tune, section: &Section, row: &Row, bar: usize) -> Option<String> {
    let (start, length) = (section.bar_starts[bar], section.bar_length(bar));
    let end = start + length;
    let sounding: Vec<&Event> =
        row.events.iter().filter(|event| event.start < end && event.start + event.length > start).collect();
    // A quarter of silence is easier to read under the count than one cell for all of it.
    let beats = length.per(section.meter.beat());
    let mut cells = if beats.is_integer() && !sounding.is_empty() { beats.to_integer() } else { 1 };
    let mut cut = |time: Length| {
        if time > start && time < end {
            let share = (time - start).per(length);
            cells = lcm(cells, *share.denom());
        }
    };
    cut(row.carry.length);
    for event in &sounding {
        cut(event.start);
        cut(event.start + event.length);
    }
    let shortest = |cells: i64, event: &&Event| event.rolled && event.length.per(length) <= Ratio::new(1, cells);
    while cells <= MAX_CELLS as i64 && sounding.iter().any(|event| shortest(cells, event)) {
        cells *= 2;
    }
    if cells > MAX_CELLS as i64 {
        return None;
    }
    let cell = |i: i64| {
        let at = start + length.fraction(i.unsigned_abs() as usize, cells.unsigned_abs() as usize);
        let event = sounding.iter().find(|event| event.start <= at && event.start + event.length > at);
        match event {
            Some(event) if event.start == at => stroke(tune, section, event),
            Some(event) if event.rolled => "~".to_owned(),
            Some(_) => "-".to_owned(),
            None if row.carry.length > at => if row.carry.rolled { "~" } else { "-" }.to_owned(),
            None => ".".to_owned(),
        }
    };
    Some((0..cells).map(cell).collect::<Vec<_>>().join(" "))
}

fn stroke(tune: &Tune, section: &Section, event: &Event) -> String {
    let Struck::Notes(notes) = &event.struck else { return ".".to_owned() };
    let name = |pitch: Pitch, text: &str| {
        let text = text.trim_end_matches(['>', '\'', 'L', 'R']);
        if text.parse() == Ok(pitch) { text.to_owned() } else { section.key.spell(pitch).to_string() }
    };
    let mut names: Vec<String> = notes.iter().map(|note| name(note.pitch, tune.source.slice(note.span))).collect();
    if let (Some(first), Some(stick)) = (names.first_mut(), event.stick) {
        first.push(stick.to_char());
    }
    let signs = format!("{}{}", if event.accent { ">" } else { "" }, if event.damped { "'" } else { "" });
    format!("{}{signs}", names.join("+"))
}

fn lcm(a: i64, b: i64) -> i64 {
    let (mut x, mut y) = (a, b);
    while y != 0 {
        (x, y) = (y, x % y);
    }
    a / x * b
}
