//! More parts, patterns or sections than a tune may have: those beyond the limit are not read, and are reported once.

use super::findings::TOO_MANY;
use super::limits::{MAX_PARTS, MAX_PATTERNS, MAX_SECTIONS};
use super::tree::{Line, Statement};
use crate::text::{Finding, Source};
use std::sync::Arc;

/// Removes from the lines what is beyond the limits.
pub(super) fn taken_out(source: &Arc<Source>, lines: &mut [Line], findings: &mut Vec<Finding>) {
    let mut counts = [0; 3];
    let mut is_left = false;
    for line in lines {
        let (of, most, what) = match line.statement {
            Some(Statement::Part(_)) => (0, MAX_PARTS, "parts"),
            Some(Statement::Pattern(_)) => (1, MAX_PATTERNS, "patterns"),
            Some(Statement::Section(_)) => (2, MAX_SECTIONS, "sections"),
            Some(_) if is_left => {
                *line = Line::broken(line.span);
                continue;
            }
            _ => continue,
        };
        counts[of] += 1;
        if counts[of] <= most {
            continue;
        }
        // What stands in a section that is not read is not read either.
        is_left |= of == 2;
        if counts[of] == most + 1 {
            let finding = Finding::error(&TOO_MANY, format!("a tune has at most {most} {what}")).at(source, line.span);
            findings.push(finding.help("the rest was not read: is this the file that you meant?"));
        }
        *line = Line::broken(line.span);
    }
}
