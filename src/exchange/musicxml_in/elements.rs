//! Elements of a MusicXML document: children, texts, places, refusals.

use std::collections::BTreeMap;
use std::sync::Arc;

use roxmltree::Node;

use super::xml;
use crate::text::{Finding, Source, Span};

/// What the list of parts says about one part.
#[derive(Clone, Debug, Default)]
pub struct PartInfo {
    /// Its name.
    pub name: String,
    /// The names of its instruments, by id.
    pub instruments: BTreeMap<String, String>,
    /// The General MIDI percussion keys of its instruments, from 0, by id.
    pub unpitched: BTreeMap<String, u8>,
    /// Whether an instrument is on MIDI's percussion channel.
    pub is_percussion: bool,
    /// Whether panfold wrote the score, see [`crate::exchange::Score::ours`].
    pub ours: bool,
}

/// A finding about a node.
pub fn refuse(source: &Arc<Source>, node: Node, kind: &'static crate::text::Kind, message: String) -> Box<Finding> {
    Box::new(Finding::error(kind, message).at(source, xml::span(node)))
}

/// A child element of a name.
pub fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    node.children().find(|child| child.has_tag_name(name))
}

/// The text of a child element, without white space around it.
pub fn child_text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name).and_then(|child| child.text()).map(str::trim)
}

/// The place of a node in findings.
pub fn span(node: Node) -> Option<Span> {
    Some(xml::span(node))
}
