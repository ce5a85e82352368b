//! What the writers of a score have in common.

use super::measures::Measure;
use super::timeline::Stretch;

/// The program that the score names as its writer.
pub const SOFTWARE: &str = "panfold";

/// The measures and what they belong to.
pub(super) struct Paper<'a> {
    /// The form on paper.
    pub(super) stretches: &'a [Stretch<'a>],
    /// Its measures.
    pub(super) measures: &'a [Measure],
}
