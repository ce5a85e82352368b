//! An answer that can't be accepted, and which stretch of it is wrong.

use crate::text::Finding;

/// What is wrong with an answer: the sentence, what to do, and the stretch of the line.
pub(super) struct Wrong {
    pub(super) finding: Box<Finding>,
    pub(super) at: std::ops::Range<usize>,
}

pub(super) fn wrong(finding: Finding, line: &str) -> Wrong {
    Wrong { finding: Box::new(finding), at: 0..line.len() }
}
