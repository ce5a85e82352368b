//! Pictures: a pan as it hangs before the player, percussion by its strokes; as SVG, crisp at any size, readable in grey.
//!
//! - [`ink`]: the colours, light and dark; [`look`]: what is drawn in which ink, and how that shows that a note is struck;
//! - [`picture`]: shapes and texts before they are SVG or anything else;
//! - [`face()`]: a pan; [`strokes()`]: percussion;
//! - [`svg`]: pictures as SVG, and the names that a script finds a note by.

pub mod face;
pub mod ink;
pub mod look;
pub mod picture;
pub mod strokes;
pub mod svg;

pub use face::face;
pub use look::State;
pub use picture::Picture;
pub use strokes::strokes;
