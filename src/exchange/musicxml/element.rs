//! Elements that are written.

use std::{borrow::Cow, io};

use quick_xml::{
    Writer,
    events::{BytesEnd, BytesStart, BytesText, Event},
};

use super::tree::Node;

/// An element with what it holds: a text, or other elements.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Element {
    name: Cow<'static, str>,
    attributes: Vec<(Cow<'static, str>, String)>,
    text: String,
    children: Vec<Element>,
}

impl Element {
    /// An empty element.
    pub(super) fn new(name: &'static str) -> Self {
        Self { name: name.into(), ..Self::default() }
    }

    /// An element as it was read.
    pub(super) fn copy(node: Node<'_, '_>) -> Self {
        let owned = |text: &str| Cow::Owned(text.to_owned());
        let attributes = node.named_attributes().map(|(name, value)| (owned(name), value.to_owned()));
        let children: Vec<Self> = node.children().map(Self::copy).collect();
        // Blanks between elements are no text.
        let text = if children.is_empty() { node.text().to_owned() } else { String::new() };
        Self { name: owned(node.name()), attributes: attributes.collect(), text, children }
    }

    /// With an element put in before the first of those with these names, or else behind all.
    pub(super) fn with_before(mut self, names: &[&str], element: Self) -> Self {
        let is_behind = |child: &Self| names.contains(&&*child.name);
        let place = self.children.iter().position(is_behind).unwrap_or(self.children.len());
        self.children.insert(place, element);
        self
    }

    /// With an attribute.
    pub(super) fn with(mut self, name: &'static str, value: impl ToString) -> Self {
        self.attributes.push((name.into(), value.to_string()));
        self
    }

    /// With a text in it.
    pub(super) fn saying(mut self, text: impl ToString) -> Self {
        self.text = text.to_string();
        self
    }

    /// With further elements in it.
    pub(super) fn holding(mut self, children: impl IntoIterator<Item = Self>) -> Self {
        self.children.extend(children);
        self
    }

    /// A direction or sound that stands so many ticks from its place in the file, and is played there; what
    /// is neither stays.
    pub(super) fn moved(mut self, ticks: i64) -> Self {
        let offset = Self::new("offset").saying(ticks);
        match &*self.name {
            "sound" => self.children.push(offset),
            "direction" => {
                let kinds = self.children.iter().take_while(|child| child.name == "direction-type").count();
                self.children.insert(kinds, offset.with("sound", "yes"));
            }
            _ => {}
        }
        self
    }

    /// Writes it.
    pub(super) fn write(&self, writer: &mut Writer<Vec<u8>>) -> io::Result<()> {
        let mut start = BytesStart::new(&*self.name);
        for (name, value) in &self.attributes {
            start.push_attribute((&**name, value.as_str()));
        }
        if self.text.is_empty() && self.children.is_empty() {
            return writer.write_event(Event::Empty(start));
        }
        writer.write_event(Event::Start(start))?;
        if !self.text.is_empty() {
            writer.write_event(Event::Text(BytesText::new(&self.text)))?;
        }
        for child in &self.children {
            child.write(writer)?;
        }
        writer.write_event(Event::End(BytesEnd::new(&*self.name)))
    }

    /// Its text, on lines that end with `line_end` and begin with `indent`, but for the first; on one
    /// line where `line_end` is empty.
    pub(super) fn text(&self, line_end: &str, indent: &str, step: &str) -> String {
        let mut writer = match step.bytes().next() {
            _ if line_end.is_empty() => Writer::new(Vec::new()),
            Some(blank) => Writer::new_with_indent(Vec::new(), blank, step.len()),
            None => Writer::new_with_indent(Vec::new(), b' ', 0),
        };
        // Into memory nothing fails.
        let _ = self.write(&mut writer);
        let text = String::from_utf8_lossy(&writer.into_inner()).into_owned();
        text.replace('\n', &format!("{line_end}{indent}"))
    }
}
