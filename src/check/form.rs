//! Sections and parts that are never heard.

use crate::text::{Finding, Kind};
use crate::tune::Tune;

/// A section that the form does not name.
pub static NEVER_PLAYED: Kind = Kind {
    name: "never-played",
    what: "A section is written but the form does not play it.",
    why: "Either you forgot it in the form, or it is left over from an older version.",
};

/// A part without a stroke.
pub(crate) static SILENT_PART: Kind = Kind {
    name: "silent-part",
    what: "A part has no stroke in the whole tune.",
    why: "Either its rows are missing, or the part is not needed.",
};

/// Sections that are never played, and parts that never play.
pub fn form(tune: &Tune) -> Vec<Finding> {
    let played = |number: usize| tune.form.iter().any(|step| step.section == number);
    let unplayed = tune.sections.iter().enumerate().filter(|(number, _)| !played(*number));
    let mut findings: Vec<Finding> = unplayed
        .map(|(_, section)| {
            Finding::warning(&NEVER_PLAYED, format!("section `{}` is never played", section.name))
                .at(&tune.source, section.span)
                .help("name it in the `form` line, or take it out")
        })
        .collect();
    let silent = |part: &usize| {
        !tune.sections.iter().any(|section| section.rows[*part].as_ref().is_some_and(|row| !row.events.is_empty()))
    };
    findings.extend((0..tune.parts.len()).filter(silent).map(|part| {
        let part = &tune.parts[part];
        Finding::advice(&SILENT_PART, format!("part `{}` never plays", part.name))
            .at(&tune.source, part.span)
            .help("write a row for it in a section, or take the part out")
            .part(&part.name)
    }));
    findings
}
