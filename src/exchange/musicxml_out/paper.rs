//! What the writers of a score have in common.

use super::measures::Measure;
use super::timeline::Stretch;

/// What the score says that it was written by.
pub const SOFTWARE: &str = "panfold";

/// The measures and what they belong to.
pub(super) struct Paper<'a> {
    /// The form on paper.
    pub(super) stretches: &'a [Stretch<'a>],
    /// Its measures.
    pub(super) measures: &'a [Measure],
}
