//! A slip that is made again and again is reported once, with all its places.

use std::collections::HashMap;

use crate::text::{Finding, Kind};

/// What two findings must share to be put together: kind, part, message and help.
type Same = (&'static str, Option<String>, String, Vec<String>);

/// The findings; those of some kinds are put together where they say the same about the same part. In the order of the first of each.
///
/// - `kinds`: the kinds of finding that are put together.
pub fn merged(findings: Vec<Finding>, kinds: &[&Kind]) -> Vec<Finding> {
    let mut kept: Vec<Finding> = Vec::with_capacity(findings.len());
    let mut firsts: HashMap<Same, usize> = HashMap::new();
    for finding in findings {
        if !kinds.contains(&finding.kind) {
            kept.push(finding);
            continue;
        }
        let same: Same = (finding.kind.name, finding.part.clone(), finding.message.clone(), finding.help.clone());
        match firsts.get(&same) {
            Some(first) => {
                let first = &mut kept[*first];
                first.more.extend(finding.place.map(|place| place.span));
                // One of several places changed would settle nothing.
                first.edits.clear();
            }
            None => {
                firsts.insert(same, kept.len());
                kept.push(finding);
            }
        }
    }
    kept
}
