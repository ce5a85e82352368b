//! Where in a file the TOML reader found something.

use toml::Spanned as At;

use crate::text::Span;

/// The place of something that the parser found.
pub fn span<T>(at: &At<T>) -> Span {
    Span::new(at.span().start, at.span().end)
}
