//! Words that have a meaning of their own in a tune.

/// Words that begin a statement and are no setting.
pub(super) const STATEMENTS: [&str; 4] = ["part", "pattern", "form", "section"];

/// What may follow a `=`.
pub(super) const INSTRUCTIONS: [&str; 6] = ["strum", "play", "with", "under", "over", "rest"];

/// How often, for a word such as `x2`; the inner `None` is a number that is too large.
pub(super) fn times(word: &str) -> Option<Option<u32>> {
    let digits = word.strip_prefix('x')?;
    (!digits.is_empty() && digits.bytes().all(|b| b.is_ascii_digit())).then(|| digits.parse().ok())
}
