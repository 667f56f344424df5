//! Changes of a text, all of them made at once, so that what is not named stays byte for byte.

use std::ops::Range;

use quick_xml::escape::escape;

use super::super::{
    error::ImportError,
    lines::Lines,
    tree::{Node, Stream, Tree},
};

/// Changes of one text, by places in it as it was.
pub(super) struct Patch<'t> {
    pub text: &'t str,
    edits: Vec<(Range<usize>, String)>,
}

/// How a text is broken into lines around a place.
#[derive(Clone, Copy)]
pub(super) struct Layout<'t> {
    /// The line end; empty where the place does not begin its line.
    pub line_end: &'t str,
    /// What the line begins with.
    pub indent: &'t str,
}

impl<'t> Patch<'t> {
    /// No changes yet.
    pub(super) fn new(text: &'t str) -> Self {
        Self { text, edits: Vec::new() }
    }

    /// The element whose start tag stands at a place that was read before, with all that it holds; its
    /// places are counted from there.
    pub(super) fn element(&self, at: usize) -> Result<Tree<'t>, ImportError> {
        let lines = Lines::new("");
        let mut stream = Stream::new(&self.text[at..], &lines);
        let mut tree = stream.root()?;
        stream.fill(&mut tree)?;
        Ok(tree)
    }

    /// How the lines are broken before a place.
    pub(super) fn layout(&self, at: usize) -> Layout<'t> {
        let start = self.text[..at].rfind('\n').map_or(0, |line_end| line_end + 1);
        let indent = &self.text[start..at];
        if start == 0 || !indent.trim().is_empty() {
            return Layout { line_end: "", indent: "" };
        }
        let line_end = if self.text[..start].ends_with("\r\n") { "\r\n" } else { "\n" };
        Layout { line_end, indent }
    }

    /// Puts a text at a place.
    pub(super) fn insert(&mut self, at: usize, what: String) {
        self.edits.push((at..at, what));
    }

    /// Removes a range, with its line where it has one of its own.
    pub(super) fn remove(&mut self, range: Range<usize>) {
        let Layout { line_end, indent } = self.layout(range.start);
        let alone = self.text[range.end..].trim_start_matches([' ', '\t']).starts_with(['\r', '\n']);
        let before = if alone { line_end.len() + indent.len() } else { 0 };
        self.edits.push((range.start - before..range.end, String::new()));
    }

    /// Replaces a range.
    pub(super) fn replace(&mut self, range: Range<usize>, with: String) {
        self.edits.push((range, with));
    }

    /// Replaces the text of an element that holds nothing else; its place is that in the whole text.
    pub(super) fn set_text(&mut self, node: Node<'_, '_>, words: &str) {
        let range = node.range();
        let own = &self.text[range.clone()];
        let words = escape(words);
        if let Some(tag) = own.strip_suffix("/>") {
            let name = own[1..].split(|c: char| c.is_whitespace() || c == '/').next().unwrap_or(node.name());
            self.replace(range.start + tag.len()..range.end, format!(">{words}</{name}>"));
        } else {
            let from = start_tag(own).len();
            let to = own.rfind("</").unwrap_or(own.len());
            self.replace(range.start + from..range.start + to, words.into_owned());
        }
    }

    /// Removes an attribute of the element that stands from `at` on.
    pub(super) fn remove_attribute(&mut self, at: usize, name: &str) {
        if let Some(range) = attribute(start_tag(&self.text[at..]), name) {
            self.replace(at + range.start..at + range.end, String::new());
        }
    }

    /// Gives an attribute that the element from `at` on has another value.
    pub(super) fn set_attribute(&mut self, at: usize, name: &str, value: &str) {
        if let Some(range) = attribute(start_tag(&self.text[at..]), name) {
            let value = escape(value);
            self.replace(at + range.start..at + range.end, format!(" {name}=\"{value}\""));
        }
    }

    /// Takes over the changes of another patch of the same text.
    pub(super) fn join(&mut self, other: Patch<'_>) {
        self.edits.extend(other.edits);
    }

    /// The changed text; none where nothing is changed.
    pub(super) fn apply(mut self) -> Option<String> {
        if self.edits.is_empty() {
            return None;
        }
        self.edits.sort_by_key(|(range, _)| (range.start, range.end));
        let mut changed = String::with_capacity(self.text.len() + 1024);
        let mut from = 0;
        for (range, with) in self.edits {
            // Two that touch the same piece cannot both be made; what is left out is told when the
            // changed text is read again.
            if range.start < from {
                continue;
            }
            changed.push_str(&self.text[from..range.start]);
            changed.push_str(&with);
            from = range.end;
        }
        changed.push_str(&self.text[from..]);
        Some(changed)
    }
}

/// Where an attribute stands in a start tag, with the blank before it.
fn attribute(tag: &str, name: &str) -> Option<Range<usize>> {
    tag.match_indices(name).find_map(|(from, _)| {
        let value = tag[from + name.len()..].trim_start().strip_prefix('=')?.trim_start();
        let quote = value.chars().next().filter(|quote| ['"', '\''].contains(quote))?;
        let end = tag.len() - value.len() + 1 + value[1..].find(quote)? + 1;
        let before = tag[..from].trim_end().len();
        (before < from).then_some(before..end)
    })
}

/// The start tag with which a text begins. An attribute may hold a ">".
fn start_tag(text: &str) -> &str {
    let mut quote = None;
    for (at, letter) in text.char_indices() {
        match (quote, letter) {
            (None, '"' | '\'') => quote = Some(letter),
            (None, '>') => return &text[..=at],
            (Some(open), _) if open == letter => quote = None,
            _ => {}
        }
    }
    text
}

/// What one step inward adds to the indent of an element, by the first of those it holds.
pub(super) fn step_of<'t>(patch: &Patch<'t>, node: Node<'_, '_>, base: usize) -> &'t str {
    let outer = patch.layout(base + node.at());
    let inner = node.children().next().map(|child| patch.layout(base + child.at()));
    inner
        .filter(|inner| !inner.line_end.is_empty())
        .and_then(|inner| inner.indent.strip_prefix(outer.indent))
        .unwrap_or("  ")
}
