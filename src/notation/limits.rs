//! How much of anything a tune file may hold. The limits are far above real tunes; they keep a wrong file from filling the memory.

/// Lines a file: an evening's programme is a few thousand.
pub const MAX_LINES: usize = 200_000;

/// Bars in one line of a row: nobody can read a line with more.
pub const MAX_BARS: usize = 4096;

/// Cells a bar: 384 cut a quarter note of 4/4 into 96 pieces, as finely as the clocks of common sequencers.
pub const MAX_CELLS: usize = 384;

/// Strokes that may share a cell with `/`.
pub const MAX_SLOTS: usize = 16;

/// Notes that may be joined with `+`: for one player more than two are a finding, but a part may have several players.
pub const MAX_TOGETHER: usize = 8;

/// Times in a row that a form may play a section.
pub const MAX_TIMES: u32 = 1000;

/// Steps of a form.
pub const MAX_STEPS: usize = 10_000;

/// Findings a file that are listed; the rest are only counted.
pub(crate) const MAX_FINDINGS: usize = 100;

/// Parts of a tune: a band of a hundred has about twenty.
pub(super) const MAX_PARTS: usize = 256;

/// Patterns of a tune.
pub(super) const MAX_PATTERNS: usize = 1000;
/// Sections of a tune: one of an hour has some hundred.
pub(super) const MAX_SECTIONS: usize = 1000;

/// Letters of a title, and of the words over a bar: what a page can show.
pub const MAX_TEXT: usize = 500;

/// Letters of a name.
pub const MAX_NAME: usize = 64;
