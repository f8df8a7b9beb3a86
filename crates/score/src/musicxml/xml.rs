//! A thin XML writer: elements, attributes and text that XML 1.0 can hold.

use quick_xml::Writer;
use quick_xml::events::{BytesEnd, BytesStart, BytesText, Event};

use crate::Error;

/// Writes elements to a buffer with two-space indents.
pub(super) struct Xml {
    inner: Writer<Vec<u8>>,
}

/// Attributes of an element, in order.
pub(super) type Attributes<'a> = &'a [(&'a str, &'a str)];

impl Xml {
    /// A new document: declaration and document type.
    pub(super) fn new(doctype: &str) -> Self {
        let mut start = b"<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n".to_vec();
        start.extend_from_slice(doctype.as_bytes());
        Self {
            inner: Writer::new_with_indent(start, b' ', 2),
        }
    }

    fn event(&mut self, event: Event<'_>) -> Result<(), Error> {
        self.inner.write_event(event).map_err(Error::from)
    }

    /// `<name ...>`, to be closed with [`Xml::close`].
    pub(super) fn open(&mut self, name: &str, attributes: Attributes<'_>) -> Result<(), Error> {
        self.event(Event::Start(start(name, attributes)))
    }

    /// `</name>`.
    pub(super) fn close(&mut self, name: &str) -> Result<(), Error> {
        self.event(Event::End(BytesEnd::new(name)))
    }

    /// `<name .../>`.
    pub(super) fn empty(&mut self, name: &str, attributes: Attributes<'_>) -> Result<(), Error> {
        self.event(Event::Empty(start(name, attributes)))
    }

    /// `<name ...>text</name>`.
    pub(super) fn leaf(
        &mut self,
        name: &str,
        attributes: Attributes<'_>,
        text: &str,
    ) -> Result<(), Error> {
        self.event(Event::Start(start(name, attributes)))?;
        self.event(Event::Text(BytesText::new(&printable(text))))?;
        self.close(name)
    }

    /// `<name>number</name>`.
    pub(super) fn number(&mut self, name: &str, number: impl ToString) -> Result<(), Error> {
        self.leaf(name, &[], &number.to_string())
    }

    /// The document.
    pub(super) fn finish(self) -> Result<String, Error> {
        let mut bytes = self.inner.into_inner();
        bytes.push(b'\n');
        String::from_utf8(bytes).map_err(|error| Error::Xml(error.to_string()))
    }
}

fn start<'a>(name: &'a str, attributes: Attributes<'_>) -> BytesStart<'a> {
    let mut element = BytesStart::new(name);
    for &(key, value) in attributes {
        element.push_attribute((key, printable(value).as_str()));
    }
    element
}

/// Text without the characters that XML 1.0 forbids (section 2.2).
pub(crate) fn printable(text: &str) -> String {
    text.chars()
        .filter(|&c| {
            matches!(c, '\t' | '\n' | '\r')
                || (c >= ' ' && !matches!(c, '\u{fffe}' | '\u{ffff}' | '\u{7f}'..='\u{9f}'))
        })
        .collect()
}
