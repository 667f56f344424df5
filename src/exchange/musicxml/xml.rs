//! Nodes, texts and numbers of an XML file.

use super::tree::Node;
use crate::score::Quarters;

/// The child elements of a node.
pub(super) fn elements<'a, 'i>(node: Node<'a, 'i>) -> impl Iterator<Item = Node<'a, 'i>> {
    node.children()
}

/// The first child element with this name.
pub(super) fn child<'a, 'i>(node: Node<'a, 'i>, name: &str) -> Option<Node<'a, 'i>> {
    elements(node).find(|node| node.name() == name)
}

/// The trimmed text of a node; empty if none.
pub(super) fn text<'a>(node: Node<'a, '_>) -> &'a str {
    node.text().trim()
}

/// The trimmed text of the first child with this name.
pub(super) fn child_text<'a>(node: Node<'a, '_>, name: &str) -> Option<&'a str> {
    child(node, name).map(text)
}

/// A decimal number, exact where it has at most nine places.
pub(super) fn decimal(text: &str) -> Option<Quarters> {
    let text = text.trim();
    if let Ok(whole) = text.parse::<i64>() {
        return Some(Quarters::from(whole));
    }
    let value: f64 = text.parse().ok().filter(|value: &f64| value.is_finite())?;
    let exact = || {
        let (whole, places) = text.split_once('.')?;
        if places.len() > 9 || !places.bytes().all(|b| b.is_ascii_digit()) {
            return None;
        }
        let digits: i64 = format!("{whole}{places}").parse().ok()?;
        Some(Quarters::new(digits, 10_i64.pow(places.len() as u32)))
    };
    Some(exact().unwrap_or_else(|| Quarters::from_f64(value)))
}
