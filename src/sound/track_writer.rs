//! What the writers of sound files have in common.

use std::io;

/// What writes a file of some format.
pub(super) trait TrackWriter {
    /// Takes a block of left and right samples.
    fn write(&mut self, left: &[f32], right: &[f32]) -> io::Result<()>;
    /// Ends the file.
    fn finish(self) -> io::Result<()>;
}
