//! XML as it is written: elements one after another, with every text made safe.

use std::borrow::Cow;

use quick_xml::Writer;
use quick_xml::events::{BytesDecl, BytesEnd, BytesStart, BytesText, Event};

/// An XML document being written. Open elements are closed by whoever opened them.
pub struct Xml {
    writer: Writer<Vec<u8>>,
}

/// Attributes of an element: names and values.
pub type Attributes<'a> = &'a [(&'a str, &'a str)];

impl Xml {
    /// A document; `doctype` is what its document type declaration says, if it has one.
    pub fn new(doctype: Option<&str>) -> Self {
        let mut xml = Xml { writer: Writer::new_with_indent(Vec::new(), b' ', 2) };
        xml.event(Event::Decl(BytesDecl::new("1.0", Some("UTF-8"), None)));
        if let Some(doctype) = doctype {
            xml.event(Event::DocType(BytesText::from_escaped(doctype)));
        }
        xml
    }

    /// The document's bytes.
    pub fn finish(self) -> Vec<u8> {
        let mut bytes = self.writer.into_inner();
        bytes.push(b'\n');
        bytes
    }

    /// An element's beginning.
    pub fn open(&mut self, name: &str, attributes: Attributes) {
        let start = element(name, attributes);
        self.event(Event::Start(start));
    }

    /// An element's end.
    pub fn close(&mut self, name: &str) {
        self.event(Event::End(BytesEnd::new(name)));
    }

    /// An element with others in it.
    pub fn within(&mut self, name: &str, attributes: Attributes, fill: impl FnOnce(&mut Xml)) {
        self.open(name, attributes);
        fill(self);
        self.close(name);
    }

    /// An element without anything in it.
    pub fn empty(&mut self, name: &str, attributes: Attributes) {
        self.event(Event::Empty(element(name, attributes)));
    }

    /// An element with a text in it.
    pub fn text(&mut self, name: &str, text: impl ToString) {
        self.text_with(name, &[], text);
    }

    /// An element with attributes and a text in it.
    pub fn text_with(&mut self, name: &str, attributes: Attributes, text: impl ToString) {
        self.open(name, attributes);
        let text = text.to_string();
        self.event(Event::Text(BytesText::new(&legal(&text))));
        self.close(name);
    }

    fn event(&mut self, event: Event) {
        self.writer.write_event(event).expect("memory takes everything");
    }
}

fn element<'a>(name: &'a str, attributes: Attributes) -> BytesStart<'a> {
    let mut start = BytesStart::new(name);
    for (name, value) in attributes {
        start.push_attribute((*name, &*legal(value)));
    }
    start
}

/// A text without the characters that XML can't hold at all (XML 1.0, production 2); a mark takes their place.
fn legal(text: &str) -> Cow<'_, str> {
    let bad = |c: char| (c < ' ' && !matches!(c, '\t' | '\n' | '\r')) || matches!(c, '\u{fffe}' | '\u{ffff}');
    if text.contains(bad) { Cow::Owned(text.replace(bad, "\u{fffd}")) } else { Cow::Borrowed(text) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn hostile_texts_stay_texts() {
        let hostile = "a<b>&\"'</c>]]>\u{0}\u{b}\u{ffff}é🥁";
        let mut xml = Xml::new(None);
        xml.text_with("t", &[("a", hostile)], hostile);
        let written = String::from_utf8(xml.finish()).expect("UTF-8");
        let read = roxmltree::Document::parse(&written).expect("well-formed");
        let expected = "a<b>&\"'</c>]]>\u{fffd}\u{fffd}\u{fffd}é🥁";
        assert_eq!(read.root_element().text(), Some(expected));
        assert_eq!(read.root_element().attribute("a"), Some(expected));
    }
}
