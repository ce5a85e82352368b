//! The form: which section comes when, and what sounds on from one to the next.

use std::sync::Arc;

use super::findings::{NOTHING_TO_HOLD, TOO_LONG, UNKNOWN_SECTION};
use super::form_slips::{self, About, Meant};
use super::model::{FormStep, Open, Part, RollFrom, Row, Section};
use super::section::Written;
use crate::notation::tree::{FormLine, Statement, Tree};
use crate::notation::wrong_line::is_name;
use crate::text::{Finding, Source, Span, Spanned, words};

/// How many bars a tune may have, played out: 100,000, about two days of music.
pub const MAX_BARS: f64 = 1e5;

/// How many strokes a tune may have, played out with its rolls: 5 million, a hundred times an evening of a big band.
pub(crate) const MAX_STROKES: f64 = 5e6;

/// How long a tune may last, played out: 12 hours.
pub const MAX_SECONDS: f64 = 12.0 * 3600.0;

/// How many strokes a second count for a rolled note; no roll is played faster.
pub const FASTEST_ROLL: f64 = 13.0;

/// The form as it is written.
pub struct Steps {
    /// The sections as played.
    pub steps: Vec<FormStep>,
    /// Whether the section that is named first does not exist, so that the tune opens with another than was meant.
    pub opening_lost: bool,
}

/// The sections as played: by the `form` lines, or in the order written when there are none.
pub fn steps(tree: &Tree, sections: &[Written], findings: &mut Vec<Finding>) -> Steps {
    let lines = tree.lines.iter().filter_map(|line| match &line.statement {
        Some(Statement::Form(form)) => Some(form),
        _ => None,
    });
    let known: Vec<&str> = sections.iter().map(|section| section.name.value.as_str()).collect();
    let number = |name: &str| known.iter().position(|known| *known == name);
    let mut steps = Vec::new();
    let (mut any, mut opening_lost) = (false, false);
    for line in lines {
        any |= !line.steps.is_empty();
        if let Some(meant) = form_slips::meant(&line.steps, &known) {
            let span = Some(line.steps[meant.wrong[0]].section.span);
            let meant_steps = meant.steps.iter().filter_map(|(name, times)| Some((number(name)?, *times)));
            steps.extend(meant_steps.map(|(section, times)| FormStep { section, times, span }));
            findings.push(mended(&tree.source, line, &meant));
            continue;
        }
        for step in &line.steps {
            let name = &step.section;
            match number(&name.value) {
                Some(section) => steps.push(FormStep { section, times: step.times, span: Some(name.span) }),
                None => {
                    findings.push(unknown_section(&tree.source, name, &known));
                    match words::nearest(&name.value, known.iter().copied()).and_then(number) {
                        Some(section) => steps.push(FormStep { section, times: step.times, span: Some(name.span) }),
                        None => opening_lost |= steps.is_empty(),
                    }
                }
            }
        }
    }
    if !any {
        steps = (0..sections.len()).map(|section| FormStep { section, times: 1, span: None }).collect();
    }
    Steps { steps, opening_lost }
}

/// A finding for a line that is not written like a form, but is understood all the same.
fn mended(source: &Arc<Source>, line: &FormLine, meant: &Meant) -> Finding {
    let spans: Vec<Span> = meant.wrong.iter().map(|number| line.steps[*number].section.span).collect();
    let first = source.slice(spans[0]);
    let message = match meant.about {
        About::Times => format!("how often a section is played goes after its name, as in `x2`, not `{first}`"),
        About::Between => format!("sections of a form have only spaces between them, not `{first}`"),
    };
    let finding = Finding::error(&UNKNOWN_SECTION, message).more(source, &spans);
    finding.help(format!("did you mean `{}`?", form_slips::text(&meant.steps)))
}

fn unknown_section(source: &Arc<Source>, name: &Spanned<String>, known: &[&str]) -> Finding {
    let finding =
        Finding::error(&UNKNOWN_SECTION, format!("there is no section `{}`", name.value)).at(source, name.span);
    let digits = name.value.trim_end_matches(|c: char| c.is_ascii_digit());
    if known.contains(&digits) && digits != name.value {
        let times = &name.value[digits.len()..];
        return finding
            .help(format!("write `{digits} x{times}` to play `{digits}` so often, or a section `{}`", name.value));
    }
    match words::nearest(&name.value, known.iter().copied()) {
        Some(near) => finding.help(format!("did you mean `{near}`?")),
        None if form_slips::about(&name.value) == Some(About::Times) => {
            finding.help("how often a section is played is written after its name, as in `verse x2`")
        }
        None if is_name(&name.value) => finding.help(format!("write it: `section {}` and its rows below", name.value)),
        None => finding.help("write only names of sections, as in `form intro verse x2 chorus`"),
    }
}

/// Cuts the form where it grows too long, and says so. `roll`: from how many beats on notes are rolled.
pub fn limit(
    form: &mut Vec<FormStep>,
    sections: &[Section<Open>],
    roll: Option<RollFrom>,
    source: &Arc<Source>,
    findings: &mut Vec<Finding>,
) {
    let sizes: Vec<Size> = sections.iter().map(|section| Size::of(section, roll)).collect();
    let mut all = Size::default();
    for (number, step) in form.iter().enumerate() {
        let (size, times) = (sizes[step.section], f64::from(step.times));
        all.bars += size.bars * times;
        all.strokes += size.strokes * times;
        all.seconds += size.seconds * times;
        let Some(too_much) = all.too_much() else { continue };
        let place = step.span.unwrap_or(sections[step.section].span);
        let finding = Finding::error(&TOO_LONG, format!("played out, the tune has more than {too_much}"));
        findings.push(finding.at(source, place).label("from here on").help("play something fewer times"));
        form.truncate(number);
        return;
    }
}

/// How large a section is, played out once.
#[derive(Clone, Copy, Default)]
struct Size {
    bars: f64,
    strokes: f64,
    seconds: f64,
}

impl Size {
    fn of(section: &Section<Open>, roll: Option<RollFrom>) -> Size {
        let seconds = |length| section.tempo.seconds(length, section.meter);
        let long = roll.map(|from| section.meter.beat() * from.beats);
        let rolled = |length, rolled: bool| {
            if rolled || long.is_some_and(|long| length >= long) { seconds(length) * FASTEST_ROLL } else { 0.0 }
        };
        let row = |row: &Row<Open>| {
            let events = row.events.iter().map(|event| 1.0 + rolled(event.length, event.rolled)).sum::<f64>();
            // What goes on from before may make a note long that was short there, so it counts in full.
            events + rolled(row.carry.length, true)
        };
        let strokes = section.rows.iter().flatten().map(row).sum();
        Size { bars: section.bars() as f64, strokes, seconds: seconds(section.length) }
    }

    fn too_much(self) -> Option<String> {
        if self.bars > MAX_BARS {
            Some(format!("{MAX_BARS} bars"))
        } else if self.strokes > MAX_STROKES {
            Some(format!("{MAX_STROKES} strokes"))
        } else {
            (self.seconds > MAX_SECONDS).then(|| format!("{} hours", MAX_SECONDS / 3600.0))
        }
    }
}

/// Finds rows that begin with a `-` or `~` although nothing sounds on from the section before.
pub fn carries(form: &[FormStep], sections: &[Section<Open>], parts: &[Part], source: &Arc<Source>) -> Vec<Finding> {
    let mut findings = Vec::new();
    let mut told = vec![false; sections.len() * parts.len()];
    let mut before: Option<usize> = None;
    for step in form {
        // The second time a section is played in a row, and every time after, what comes before is itself.
        for previous in [before, (step.times > 1).then_some(step.section)].into_iter().enumerate() {
            let (time, previous) = previous;
            if time == 1 && previous.is_none() {
                continue;
            }
            for part in 0..parts.len() {
                let slot = &mut told[step.section * parts.len() + part];
                let Some(row) = &sections[step.section].rows[part] else { continue };
                let sounds = previous.is_some_and(|section| sounds_at_end(&sections[section], part));
                if row.carry.length.is_zero() || sounds || *slot {
                    continue;
                }
                *slot = true;
                findings.push(nothing_goes_on(row, &parts[part].name, previous.map(|i| &sections[i]), source));
            }
        }
        before = Some(step.section);
    }
    findings
}

/// Whether a part's last note lasts to the section's end.
fn sounds_at_end(section: &Section<Open>, part: usize) -> bool {
    section.rows[part].as_ref().is_some_and(|row| match row.events.last() {
        Some(last) => last.start + last.length == section.length,
        None => row.carry.length == section.length,
    })
}

fn nothing_goes_on(row: &Row<Open>, part: &str, before: Option<&Section<Open>>, source: &Arc<Source>) -> Finding {
    let mark = source.slice(row.carry.span);
    let message = match before {
        Some(section) => format!("no note is held into this `{mark}` from the section `{}` before", section.name),
        None => format!("there is nothing before this `{mark}` to hold"),
    };
    let finding = Finding::error(&NOTHING_TO_HOLD, message).at(source, row.carry.span).part(part);
    finding.help("write `.` for no stroke, or let the last note before it be held to the end")
}
