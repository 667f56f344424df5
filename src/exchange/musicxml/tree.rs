//! XML as a stream of small trees: one bar of the file at a time, each read in one pass and dropped
//! before the next, so that time and memory grow with the text alone.
//!
//! Names are read without their namespace prefix: MusicXML has none of its own.

use std::{borrow::Cow, ops::Range};

use quick_xml::{
    Reader, XmlVersion,
    errors::IllFormedError,
    escape::{EscapeError, resolve_xml_entity},
    events::{BytesStart, Event, attributes::Attributes},
};

use super::{
    error::{ImportError, short},
    lines::Lines,
};

/// Most elements and attributes in one tree, which is a bar or a piece of the head. Assumed: a bar
/// of a part has a few hundred.
const TREE_LIMIT: usize = 2_000_000;

/// An element with all that it holds, in document order; at least the element itself, once one is read.
#[derive(Default)]
pub(super) struct Tree<'t> {
    elements: Vec<Element<'t>>,
    attributes: Vec<(&'t str, Cow<'t, str>)>,
}

struct Element<'t> {
    name: &'t str,
    /// Text before its first child.
    text: Cow<'t, str>,
    /// Its attributes among those of the tree.
    attributes: Range<usize>,
    /// Byte offsets of its start tag and of what follows its end tag.
    at: Range<usize>,
    /// Index of the first element behind all that it holds.
    after: usize,
}

/// An element of a tree.
#[derive(Clone, Copy)]
pub(super) struct Node<'a, 't> {
    tree: &'a Tree<'t>,
    element: &'a Element<'t>,
    index: usize,
}

impl<'t> Tree<'t> {
    /// The element that holds all others.
    pub(super) fn root(&self) -> Node<'_, 't> {
        self.node(0)
    }

    /// All elements, in document order.
    pub(super) fn all(&self) -> impl Iterator<Item = Node<'_, 't>> {
        (0..self.elements.len()).map(|index| self.node(index))
    }

    fn node(&self, index: usize) -> Node<'_, 't> {
        Node { tree: self, element: &self.elements[index], index }
    }

    /// Adds text to an element, where none of its children stands before it.
    fn add_text(&mut self, index: usize, piece: Cow<'t, str>) {
        if index + 1 != self.elements.len() {
            return;
        }
        let text = &mut self.elements[index].text;
        if text.is_empty() {
            *text = piece;
        } else {
            text.to_mut().push_str(&piece);
        }
    }
}

impl<'a, 't> Node<'a, 't> {
    /// Its name.
    pub(super) fn name(self) -> &'t str {
        self.element.name
    }

    /// The value of an attribute.
    pub(super) fn attribute(self, name: &str) -> Option<&'a str> {
        let own = &self.tree.attributes[self.element.attributes.clone()];
        own.iter().find(|(known, _)| *known == name).map(|(_, value)| value.as_ref())
    }

    /// How many attributes it has.
    pub(super) fn attributes(self) -> usize {
        self.element.attributes.len()
    }

    /// Its attributes with their values.
    pub(super) fn named_attributes(self) -> impl Iterator<Item = (&'a str, &'a str)> {
        let own = &self.tree.attributes[self.element.attributes.clone()];
        own.iter().map(|(name, value)| (*name, value.as_ref()))
    }

    /// Its text, up to its first child.
    pub(super) fn text(self) -> &'a str {
        &self.element.text
    }

    /// The elements in it.
    pub(super) fn children(self) -> impl Iterator<Item = Node<'a, 't>> {
        let inside = move |index: usize| (index < self.element.after).then(|| self.tree.node(index));
        std::iter::successors(inside(self.index + 1), move |node| inside(node.element.after))
    }

    /// Byte offset of its start tag in the text.
    pub(super) fn at(self) -> usize {
        self.element.at.start
    }

    /// Where it stands in the text, in bytes, from its start tag to the end of its end tag.
    pub(super) fn range(self) -> Range<usize> {
        self.element.at.clone()
    }
}

/// A pass over the text of an XML file.
pub(super) struct Stream<'t, 'l> {
    text: &'t str,
    lines: &'l Lines<'l>,
    reader: Reader<&'t [u8]>,
    /// Where the event at hand begins.
    at: usize,
    /// There are lines that end otherwise than in one line feed.
    has_returns: bool,
}

impl<'t, 'l> Stream<'t, 'l> {
    /// At the start of the text.
    pub(super) fn new(text: &'t str, lines: &'l Lines<'l>) -> Self {
        let mut reader = Reader::from_str(text);
        reader.config_mut().expand_empty_elements = true;
        Self { text, lines, reader, at: 0, has_returns: text.contains('\r') }
    }

    /// Reads up to the start tag of the root: a tree of that element alone.
    pub(super) fn root(&mut self) -> Result<Tree<'t>, ImportError> {
        loop {
            match self.event()? {
                Event::Start(start) => return self.begin(&start),
                event if is_nothing(&event) => {}
                _ => return Err(self.broken("text stands before the first element")),
            }
        }
    }

    /// Reads up to the next start tag in the element at hand: a tree of that element alone, or
    /// nothing where the element at hand ends. What the new one holds is to be read next, by
    /// [`fill`](Self::fill) or child by child.
    pub(super) fn next_child(&mut self) -> Result<Option<Tree<'t>>, ImportError> {
        loop {
            match self.event()? {
                Event::Start(start) => return self.begin(&start).map(Some),
                Event::End(_) => return Ok(None),
                _ => {}
            }
        }
    }

    /// Reads the next child with all that it holds, in place of what `tree` held; nothing where the element
    /// at hand ends.
    pub(super) fn next_whole_child(&mut self, tree: &mut Tree<'t>) -> Result<bool, ImportError> {
        loop {
            match self.event()? {
                Event::Start(start) => {
                    tree.elements.clear();
                    tree.attributes.clear();
                    self.push(tree, &start)?;
                    self.fill(tree)?;
                    return Ok(true);
                }
                Event::End(_) => return Ok(false),
                _ => {}
            }
        }
    }

    /// Reads all that the root of `tree` holds, whose start tag was read last.
    pub(super) fn fill(&mut self, tree: &mut Tree<'t>) -> Result<(), ImportError> {
        let mut open = vec![0];
        while let Some(&parent) = open.last() {
            match self.event()? {
                Event::Start(start) => {
                    open.push(tree.elements.len());
                    self.push(tree, &start)?;
                }
                Event::End(_) => {
                    tree.elements[parent].after = tree.elements.len();
                    tree.elements[parent].at.end = self.end();
                    open.pop();
                }
                Event::Text(text) => tree.add_text(parent, self.plain(text.into_inner())),
                Event::CData(text) => tree.add_text(parent, self.plain(text.into_inner())),
                Event::GeneralRef(name) => {
                    let known = match name.resolve_char_ref() {
                        Ok(Some(char)) => Some(Cow::from(char.to_string())),
                        Ok(None) => resolve_xml_entity(&name).map(Cow::from),
                        Err(_) => None,
                    };
                    match known {
                        Some(text) => tree.add_text(parent, text),
                        None => return Err(self.broken(&format!("&{}; stands for nothing", &*name))),
                    }
                }
                _ => {}
            }
        }
        Ok(())
    }

    /// Reads what follows the root.
    pub(super) fn finish(mut self) -> Result<(), ImportError> {
        loop {
            match self.next_event()? {
                Event::Eof => return Ok(()),
                event if is_nothing(&event) => {}
                _ => return Err(self.broken("something follows the end of the score")),
            }
        }
    }

    fn begin(&self, start: &BytesStart<'t>) -> Result<Tree<'t>, ImportError> {
        let mut tree = Tree::default();
        self.push(&mut tree, start)?;
        Ok(tree)
    }

    /// Adds the element of a start tag.
    fn push(&self, tree: &mut Tree<'t>, start: &BytesStart<'t>) -> Result<(), ImportError> {
        let tag = self.text.get(self.at + 1..self.end()).unwrap_or("");
        let tag = tag.strip_suffix('>').unwrap_or(tag);
        let tag = tag.strip_suffix('/').unwrap_or(tag);
        let name = tag.get(..start.name().as_ref().len()).unwrap_or("");
        let from = tree.attributes.len();
        let mut attributes = Attributes::new(tag, name.len());
        // Two of one name are no reason to refuse; looking for them takes the square of their number.
        for attribute in attributes.with_checks(false) {
            let attribute = attribute.map_err(|_| self.broken(NO_VALUE))?;
            let value = attribute.normalized_value(XmlVersion::Implicit1_0);
            let value = value.map_err(|error| self.broken(&reason(&error)))?;
            tree.attributes.push((attribute.key.into_inner(), value));
        }
        let after = tree.elements.len() + 1;
        if after + tree.attributes.len() > TREE_LIMIT {
            return Err(ImportError::Limit {
                what: format!(
                    "the number of elements up to line {}, in one bar or in the head,",
                    self.line(self.at)
                ),
                limit: TREE_LIMIT.to_string(),
            });
        }
        // Names are short: a search made for long texts takes longer.
        let prefix = name.bytes().rposition(|byte| byte == b':').map_or(0, |at| at + 1);
        let name = &name[prefix..];
        let attributes = from..tree.attributes.len();
        tree.elements.push(Element {
            name,
            text: Cow::default(),
            attributes,
            at: self.at..self.end(),
            after,
        });
        Ok(())
    }

    /// The next event inside an element.
    #[inline]
    fn event(&mut self) -> Result<Event<'t>, ImportError> {
        match self.next_event()? {
            Event::Eof => {
                self.at = self.text.trim_end().len();
                Err(self.broken("it ends before all of its elements are closed"))
            }
            event => Ok(event),
        }
    }

    #[inline]
    fn next_event(&mut self) -> Result<Event<'t>, ImportError> {
        self.at = self.end();
        self.reader.read_event().map_err(|error| ImportError::Malformed {
            line: self.line(usize::try_from(self.reader.error_position()).unwrap_or(usize::MAX)),
            reason: reason(&error),
        })
    }

    /// Where the event at hand ends.
    fn end(&self) -> usize {
        usize::try_from(self.reader.buffer_position()).unwrap_or(usize::MAX)
    }

    /// A text with every line end as one character, as the standard wants (XML 1.0, 2.11).
    fn plain(&self, text: Cow<'t, str>) -> Cow<'t, str> {
        if self.has_returns { text.replace("\r\n", "\n").replace('\r', "\n").into() } else { text }
    }

    fn line(&self, at: usize) -> u32 {
        self.lines.at(at)
    }

    fn broken(&self, reason: &str) -> ImportError {
        ImportError::Malformed { line: self.line(self.at), reason: reason.to_owned() }
    }
}

const NO_VALUE: &str = "an attribute has no value between quotation marks";

/// What is wrong with a text that is no XML.
fn reason(error: &quick_xml::Error) -> String {
    match error {
        quick_xml::Error::Syntax(_) => "a tag, a comment or a value is not closed".to_owned(),
        quick_xml::Error::IllFormed(IllFormedError::MismatchedEndTag { expected, found }) => {
            format!("</{}> stands where </{}> should", short(found), short(expected))
        }
        quick_xml::Error::IllFormed(IllFormedError::MissingEndTag(tag)) => {
            format!("<{}> is never closed", short(tag))
        }
        quick_xml::Error::IllFormed(IllFormedError::UnmatchedEndTag(tag)) => {
            format!("</{}> closes nothing", short(tag))
        }
        quick_xml::Error::IllFormed(IllFormedError::DoubleHyphenInComment) => "a comment holds --".to_owned(),
        quick_xml::Error::IllFormed(IllFormedError::UnclosedReference) => LOOSE_AND.to_owned(),
        quick_xml::Error::Escape(error) => unread(error),
        quick_xml::Error::InvalidAttr(_) => NO_VALUE.to_owned(),
        quick_xml::Error::Io(_)
        | quick_xml::Error::IllFormed(_)
        | quick_xml::Error::Encoding(_)
        | quick_xml::Error::Namespace(_) => "it does not begin as XML does".to_owned(),
    }
}

const LOOSE_AND: &str = "an & stands alone; as a sign it is written &amp;";

/// What is wrong with a reference.
fn unread(error: &EscapeError) -> String {
    match error {
        EscapeError::UnrecognizedEntity(_, name) => format!("&{}; stands for no sign", short(name)),
        EscapeError::UnterminatedEntity(_) => LOOSE_AND.to_owned(),
        EscapeError::InvalidCharRef(_) | EscapeError::TooManyNestedEntities => {
            "the number of a character is that of none".to_owned()
        }
    }
}

/// What may stand before and behind the root.
fn is_nothing(event: &Event<'_>) -> bool {
    match event {
        Event::Decl(_) | Event::PI(_) | Event::Comment(_) | Event::DocType(_) => true,
        Event::Text(text) => text.trim().is_empty(),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<Vec<String>, ImportError> {
        let lines = Lines::new(text);
        let mut stream = Stream::new(text, &lines);
        let mut tree = stream.root()?;
        stream.fill(&mut tree)?;
        stream.finish()?;
        let told = |node: Node<'_, '_>| {
            let held: Vec<&str> = node.children().map(Node::name).collect();
            let id = node.attribute("id").map_or(String::new(), |id| format!("#{id}"));
            format!("{}{id} {:?} {}", node.name(), node.text(), held.join(","))
        };
        Ok(tree.all().map(told).collect())
    }

    /// Against the rules of XML 1.0: references (4.6), CDATA (2.7), line ends (2.11), attribute
    /// values (3.3.3), empty elements (3.1).
    #[test]
    fn elements_texts_and_attributes_are_those_of_the_standard() {
        let text = "<?xml version='1.0'?><!DOCTYPE a [<!ELEMENT a ANY>]><!-- <z> -->\n\
            <p:a><b id='1&amp;2'/>late<c id=\"x\ny\">1 &lt;<!-- --> &#x41;<![CDATA[<&]]>\r\n</c><d><e/></d></p:a>\n";
        assert_eq!(
            read(text).unwrap(),
            ["a \"\" b,c,d", "b#1&2 \"\" ", "c#x y \"1 < A<&\\n\" ", "d \"\" e", "e \"\" "]
        );
    }

    #[test]
    fn what_is_no_xml_is_told_with_its_line() {
        for (text, line, words) in [
            ("<a>\n<b>\n</a>", 3, "b"),
            ("<a>\n<b/>\n", 2, "before all of its elements are closed"),
            ("<a/>\n<b/>", 2, "follows the end"),
            ("\nmusic <a/>", 1, "before the first element"),
            ("<a>\n&nbsp;</a>", 2, "&nbsp;"),
            ("<a>\n&#0;</a>", 2, "&#0;"),
            ("<a>\n<b c=d/></a>", 2, ""),
            ("<a>\n\n<b", 3, ""),
        ] {
            match read(text).unwrap_err() {
                ImportError::Malformed { line: told, reason } => {
                    assert!(told == line && reason.contains(words), "{text:?}: line {told}: {reason}");
                }
                other => panic!("{text:?}: {other}"),
            }
        }
    }
}
