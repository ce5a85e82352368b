//! Parts that cross: a bass above a lead, and neighbours that change places for long.

use super::uses::{Found, Places};
use crate::fit::voices::{from_high_to_low, sounding};
use crate::text::{Finding, Kind, words};
use crate::tune::Tune;
use crate::tune::model::{Player, Row, Struck};

/// A lower part that sounds above a higher one.
pub static CROSSED_VOICES: Kind = Kind {
    name: "crossed-voices",
    what: "A bass sounds above a lead, or a lower part stays above a higher one for four bars or more.",
    why: "Listeners take the highest notes for the tune. Many arrangements let parts cross for a moment; when it \
          lasts, the tune may be drowned out. Only single-note parts are checked, not strums.",
};

/// How many bars in a row neighbours must be crossed to count as crossed for long: half of a phrase of eight (own setting).
const LONG: usize = 4;

/// One finding for each pair of parts that cross.
pub fn crossed_voices(tune: &Tune) -> Vec<Finding> {
    let order = from_high_to_low(tune);
    let mut findings = Vec::new();
    for (rank, higher) in order.iter().enumerate() {
        for (below, lower) in order[rank + 1..].iter().enumerate() {
            let bass_and_lead = is(tune, *lower, |kind| kind.is_bass()) && is(tune, *higher, |kind| kind.is_lead());
            if bass_and_lead {
                findings.extend(bass_above_lead(tune, *lower, *higher));
            } else if below == 0 {
                findings.extend(for_long(tune, *lower, *higher));
            }
        }
    }
    findings
}

fn is(tune: &Tune, part: usize, what: impl Fn(crate::pan::PanKind) -> bool) -> bool {
    matches!(tune.parts[part].player, Player::Pans { kind, .. } if what(kind))
}

fn bass_above_lead(tune: &Tune, bass: usize, lead: usize) -> Option<Finding> {
    let mut found = Vec::new();
    for section in 0..tune.sections.len() {
        found.extend(meetings(tune, section, bass, lead).filter(|met| met.crossed).map(|met| met.found));
    }
    let places = Places::of(&found)?;
    let [bass, lead] = [bass, lead].map(|part| &tune.parts[part].name);
    let message = format!("`{bass}` sounds above `{lead}`, so listeners may take it for the tune");
    let finding = places.mark(tune, Finding::advice(&CROSSED_VOICES, message)).part(bass);
    Some(finding.help(format!("move these notes of `{bass}` an octave down, or those of `{lead}` an octave up")))
}

fn for_long(tune: &Tune, lower: usize, higher: usize) -> Option<Finding> {
    let mut found: Vec<Found> = Vec::new();
    let mut longest = 0;
    for section in 0..tune.sections.len() {
        let mut run: Vec<Found> = Vec::new();
        for bar in bars(tune, section, lower, higher).into_iter().chain([Bar::Apart]) {
            match bar {
                Bar::Crossed(first) => run.push(first),
                Bar::Silent => {}
                Bar::Apart => {
                    longest = longest.max(run.len());
                    if run.len() >= LONG {
                        found.append(&mut run);
                    }
                    run.clear();
                }
            }
        }
    }
    let places = Places::of(&found)?;
    let [lower, higher] = [lower, higher].map(|part| &tune.parts[part].name);
    let bars = words::count(longest, "bar");
    let message = format!("`{lower}` lies above `{higher}` for {bars} in a row, though it is the lower part elsewhere");
    let finding = places.mark(tune, Finding::advice(&CROSSED_VOICES, message)).part(lower);
    Some(finding.help(format!(
        "swap their notes there, move one of them an octave, or leave it if `{lower}` has the tune there"
    )))
}

/// What two parts do in a bar.
#[derive(Clone, Copy)]
enum Bar {
    /// Every stroke of the lower one that meets the higher one lies above it; the first of them.
    Crossed(Found),
    /// They don't meet.
    Silent,
    /// They lie the usual way round.
    Apart,
}

fn bars(tune: &Tune, section: usize, lower: usize, higher: usize) -> Vec<Bar> {
    let mut bars = vec![Bar::Silent; tune.sections[section].bars()];
    for met in meetings(tune, section, lower, higher) {
        let Some(bar) = bars.get_mut(met.found.bar as usize) else { continue };
        *bar = match *bar {
            Bar::Silent if met.crossed => Bar::Crossed(met.found),
            Bar::Crossed(first) if met.crossed => Bar::Crossed(first),
            Bar::Silent | Bar::Crossed(_) | Bar::Apart => Bar::Apart,
        };
    }
    bars
}

/// A stroke of a part while another part sounds.
struct Meeting {
    found: Found,
    /// Whether it lies above.
    crossed: bool,
}

/// The strokes of the lower part that meet the higher one, each a single note.
fn meetings(tune: &Tune, section: usize, lower: usize, higher: usize) -> impl Iterator<Item = Meeting> {
    let rows = &tune.sections[section].rows;
    let pair = rows[lower].as_ref().filter(|row| is_line(row)).zip(rows[higher].as_ref().filter(|row| is_line(row)));
    pair.into_iter().flat_map(move |(own, other)| {
        own.events.iter().filter_map(move |event| {
            let Struck::Notes(notes) = &event.struck else { return None };
            let [note] = notes[..] else { return None };
            let above = sounding(other, event.start)?;
            let found = Found { span: event.span, section, bar: event.bar };
            Some(Meeting { found, crossed: note.pitch > above })
        })
    })
}

/// Whether a row is a line of mostly single notes of its own: no strums, and not another part's row.
fn is_line(row: &Row) -> bool {
    let single = row.events.iter().filter(|event| matches!(&event.struck, Struck::Notes(notes) if notes.len() == 1));
    row.doubles.is_none() && 2 * single.count() > row.events.len()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::kit;

    const BAND: [(&str, &str); 3] = [("Red rim", "lead-c"), ("Harbour", "triple-cello"), ("Six", "six-bass")];

    fn told(rows: &str) -> Vec<String> {
        let text = format!("part lead on lead\npart cello on triple-cello\npart bass on six-bass\nsection a\n{rows}");
        crossed_voices(&kit::tune(&kit::pans(&BAND), &text))
            .into_iter()
            .map(|finding| format!("{} ({}, {} more)", finding.message, finding.label, finding.more.len()))
            .collect()
    }

    #[test]
    fn a_bass_above_the_lead_is_told_at_once() {
        assert_eq!(
            told(" lead | C4 - E5 - | D5 - - - |\n bass | C#4 - C3 - | D2 - - - |\n"),
            ["`bass` sounds above `lead`, so listeners may take it for the tune (bar 1 of `a`, 0 more)"]
        );
        assert!(
            told(" lead | C4 - E5 - | . . D5 - |\n bass | C3 - C3 - | C#4 - D2 - |\n").is_empty(),
            "the lead is silent"
        );
        assert!(told(" lead | C4 - E5 - |\n bass | C4 - C3 - |\n").is_empty(), "the same note is no crossing");
    }

    #[test]
    fn neighbours_may_change_places_but_not_for_long() {
        let rows = |crossed: usize| {
            let (mut lead, mut cello) = (" lead |".to_owned(), " cello |".to_owned());
            for bar in 0..14 {
                lead.push_str(if (2..2 + crossed).contains(&bar) { " C4 - D4 - |" } else { " C5 - D5 - |" });
                cello.push_str(" E4 - F4 - |");
            }
            format!("{lead}\n{cello}\n")
        };
        assert!(told(&rows(3)).is_empty());
        assert_eq!(
            told(&rows(4)),
            [
                "`cello` lies above `lead` for 4 bars in a row, though it is the lower part elsewhere (bar 3 of `a`, 3 more)"
            ]
        );
    }
}
