//! Where in a file something stands that the TOML reader found.

use toml::Spanned as At;

use crate::text::Span;

/// The place of something that the parser found.
pub fn span<T>(at: &At<T>) -> Span {
    Span::new(at.span().start, at.span().end)
}
