//! Chords that divide a bar evenly although its beats can't be divided so.

use super::uses::{Found, Places};
use crate::text::{Finding, Kind, words};
use crate::tune::model::ChordAt;
use crate::tune::{Section, Tune};

/// Chords that change between the beats because their bar is divided evenly.
pub static UNEVEN_CHORDS: Kind = Kind {
    name: "uneven-chords",
    what: "The chords of a bar share it evenly, so one of them falls between two beats.",
    why: "A bar is divided evenly into as many cells as are written in it: two chords in 3/4 last one and a half beats \
          each. Usually the second should fall on a beat: write `-` for each beat that the first is held.",
};

/// One finding for all such bars of the tune.
pub fn uneven_chords(tune: &Tune) -> Option<Finding> {
    let mut found: Vec<Found> = Vec::new();
    let mut first: Option<(usize, &Section)> = None;
    for (number, section) in tune.sections.iter().enumerate() {
        for bar in 0..section.bars() {
            let chords = of_bar(section, bar);
            if is_uneven(tune, section, bar, chords) {
                found.push(Found { span: chords[1].span, section: number, bar: bar as u32 });
                first.get_or_insert((chords.len(), section));
            }
        }
    }
    let (places, (count, section)) = (Places::of(&found)?, first?);
    let beats = section.meter.beats();
    let each = num_rational::Ratio::new(beats as i64, count as i64);
    let message = format!("{count} chords share a bar of {}, so each lasts {} beats", section.meter, mixed(each));
    let starts = (0..beats).map(|beat| if beat == 0 { "G" } else { "-" });
    let mut cells: Vec<&str> = starts.collect();
    if let Some(last) = cells.last_mut().filter(|_| count == 2) {
        *last = "D";
    }
    let finding = places.mark(tune, Finding::advice(&UNEVEN_CHORDS, message));
    let help = format!("write {}, one a beat, with `-` where a chord goes on", words::count(beats as usize, "cell"));
    let help = if count == 2 { format!("{help}: `{}`", cells.join(" ")) } else { help };
    Some(finding.help(help).help(format!("or begin the bar with `{count}:` if you want it that way")))
}

/// The chords that begin in a bar.
fn of_bar(section: &Section, bar: usize) -> &[ChordAt] {
    let start = section.bar_starts[bar];
    let end = start + section.bar_length(bar);
    let at = |time| section.chords.partition_point(|chord| chord.start < time);
    &section.chords[at(start)..at(end)]
}

/// Whether the chords of a bar, written without holds, divide it evenly, and not all of them come on a beat.
fn is_uneven(tune: &Tune, section: &Section, bar: usize, chords: &[ChordAt]) -> bool {
    let (start, length, beat) = (section.bar_starts[bar], section.bar_length(bar), section.meter.beat());
    // `2:` at the head of the bar says that it is meant so.
    let is_meant = || tune.source.text()[..chords[0].span.start as usize].trim_end().ends_with(':');
    if chords.len() < 2 || length != section.meter.bar() || is_meant() {
        return false;
    }
    let even = chords.iter().enumerate().all(|(i, chord)| chord.start == start + length.fraction(i, chords.len()));
    let off = chords.iter().any(|chord| !(chord.start - start).per(beat).is_integer());
    // With a hold between them the arranger has counted the cells. A bar that is `%` stands where the bar before it stands.
    let touch = chords.windows(2).all(|pair| {
        pair[0].span.end <= pair[1].span.start
            && tune.source.text()[pair[0].span.end as usize..pair[1].span.start as usize].trim().is_empty()
    });
    even && off && touch
}

/// `1½`, `2⅔` or `5/4`.
fn mixed(number: num_rational::Ratio<i64>) -> String {
    let sign = match (*number.fract().numer(), *number.denom()) {
        (1, 2) => "½",
        (1, 3) => "⅓",
        (2, 3) => "⅔",
        (1, 4) => "¼",
        (3, 4) => "¾",
        _ => return number.to_string(),
    };
    match number.to_integer() {
        0 => sign.to_owned(),
        whole => format!("{whole}{sign}"),
    }
}
