//! Text and places in it: what every room needs to say *where* something is. Knows no music.
//!
//! - [`source`]: a file's text, with its lines counted once; [`decode`]: from bytes; [`plain`]: files that are not plain text;
//! - [`span`]: a stretch of bytes in a source;
//! - [`finding`]: one thing that the tool has to say, with its place and what to do about it;
//! - [`edit`]: a change of a source, so that advice can be applied;
//! - [`signs`]: invisible signs that do something;
//! - [`words`]: plain English (one note, two notes; the nearest name).

pub mod decode;
pub mod edit;
pub mod finding;
pub mod plain;
pub mod signs;
pub mod source;
pub mod span;
pub mod words;

pub use edit::Edit;
pub use finding::{Finding, Kind, Place, Refusal, Severity};
pub use source::{Position, Source};
pub use span::{Span, Spanned};
