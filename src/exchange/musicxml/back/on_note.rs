//! What stands on a note, put there and taken away.

use super::{
    super::{element::Element, error::ImportError, signs::letters, tree::Node, xml::text},
    patch::{Patch, step_of},
    pitches::{self, OtherPitch},
};

/// The groups of `<notations>`.
const GROUPS: [&str; 3] = ["articulations", "technical", "ornaments"];
/// What follows `<notations>` in a note (MusicXML 4.0, `note`).
const AFTER: [&str; 3] = ["lyric", "play", "listen"];

/// What is to go from a note.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Gone {
    /// An element of a group; the group is empty for what the notations hold themselves.
    Named { group: &'static str, name: &'static str },
    /// An end of a slur.
    Slur { start: bool, number: u8 },
    /// A dynamic, by its letters.
    Dynamic(String),
    /// An end of a tie, and of its picture.
    Tie { start: bool },
}

impl Gone {
    /// The element is an end of a tie that goes, or its picture.
    fn is_tie(&self, item: Node<'_, '_>) -> bool {
        let Self::Tie { start } = self else { return false };
        ["tie", "tied"].contains(&item.name())
            && item.attribute("type") == Some(if *start { "start" } else { "stop" })
    }
}

/// What is to change on one `<note>`.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct OnNote {
    pub gone: Vec<Gone>,
    /// Elements with their groups; the group is empty for what the notations hold themselves.
    pub come: Vec<(&'static str, Element)>,
    pub pitch: OtherPitch,
}

impl OnNote {
    fn goes(&self, group: &str, item: Node<'_, '_>) -> bool {
        self.gone.iter().any(|gone| match gone {
            Gone::Named { group: of, name } => *of == group && *name == item.name(),
            Gone::Slur { start, number } => {
                let own = item.attribute("number").and_then(|n| n.trim().parse().ok()).unwrap_or(1);
                let kind = if *start { "start" } else { "stop" };
                group.is_empty()
                    && item.name() == "slur"
                    && item.attribute("type") == Some(kind)
                    && own == *number
            }
            Gone::Tie { .. } => group.is_empty() && gone.is_tie(item),
            Gone::Dynamic(mark) => group.is_empty() && item.name() == "dynamics" && is_dynamic(item, mark),
        })
    }

    fn come_to(&self, group: &str) -> Vec<Element> {
        self.come.iter().filter(|(to, _)| *to == group).map(|(_, element)| element.clone()).collect()
    }
}

/// A `<dynamics>` that holds this one mark.
pub(super) fn is_dynamic(item: Node<'_, '_>, mark: &str) -> bool {
    let mut held = item.children();
    let first = held.next();
    let own = first.map(|first| if first.name() == "other-dynamics" { text(first) } else { first.name() });
    held.next().is_none() && own.is_some_and(|own| letters(own) == letters(mark))
}

/// Changes the `<note>` that stands at `at`.
pub(super) fn change(patch: &mut Patch<'_>, at: usize, change: &OnNote) -> Result<(), ImportError> {
    pitches::change(patch, at, change.pitch)?;
    let tree = patch.element(at)?;
    let note = tree.root();
    let ties = note.children().filter(|item| change.gone.iter().any(|gone| gone.is_tie(*item)));
    ties.for_each(|tie| remove(patch, at, tie));
    let mut groups: Vec<&str> =
        GROUPS.into_iter().filter(|group| !change.come_to(group).is_empty()).collect();
    let mut bare = change.come_to("");
    let notations: Vec<Node<'_, '_>> = note.children().filter(|node| node.name() == "notations").collect();
    let step = step_of(patch, note, at);
    for (index, &holder) in notations.iter().enumerate() {
        let mut here = Vec::new();
        let (mut held, mut gone) = (0, Vec::new());
        for item in holder.children() {
            held += 1;
            if !GROUPS.contains(&item.name()) {
                gone.extend(change.goes("", item).then_some(item));
                continue;
            }
            let (of, mut going) = (item.children().count(), Vec::new());
            going.extend(item.children().filter(|&part| change.goes(item.name(), part)));
            let place = groups.iter().position(|group| *group == item.name());
            let coming = place.map_or(Vec::new(), |place| change.come_to(groups.swap_remove(place)));
            if coming.is_empty() && !going.is_empty() && going.len() == of {
                gone.push(item);
                continue;
            }
            going.into_iter().for_each(|part| remove(patch, at, part));
            put_into(patch, at, item, &coming, step);
        }
        // What finds no group of its own comes into the last notations.
        if index + 1 == notations.len() {
            here.append(&mut bare);
            here.extend(groups.drain(..).map(|group| Element::new(group).holding(change.come_to(group))));
        }
        if here.is_empty() && !gone.is_empty() && gone.len() == held {
            remove(patch, at, holder);
        } else {
            gone.into_iter().for_each(|item| remove(patch, at, item));
            put_into(patch, at, holder, &here, step);
        }
    }
    let new: Vec<Element> = bare
        .into_iter()
        .chain(groups.into_iter().map(|group| Element::new(group).holding(change.come_to(group))))
        .collect();
    if !new.is_empty() {
        let new = Element::new("notations").holding(new);
        match note.children().find(|child| AFTER.contains(&child.name())) {
            Some(after) => put_before(patch, at + after.at(), &new, step),
            None => put_into(patch, at, note, &[new], step),
        }
    }
    Ok(())
}

fn remove(patch: &mut Patch<'_>, base: usize, node: Node<'_, '_>) {
    let range = node.range();
    patch.remove(base + range.start..base + range.end);
}

/// Puts an element before what stands at a place.
pub(super) fn put_before(patch: &mut Patch<'_>, at: usize, element: &Element, step: &str) {
    let layout = patch.layout(at);
    let text = element.text(layout.line_end, layout.indent, step);
    patch.insert(at, format!("{text}{}{}", layout.line_end, layout.indent));
}

/// Puts an element behind one that stands from `at` to `end`.
pub(super) fn put_after(patch: &mut Patch<'_>, (at, end): (usize, usize), element: &Element, step: &str) {
    let layout = patch.layout(at);
    let text = element.text(layout.line_end, layout.indent, step);
    patch.insert(end, format!("{}{}{text}", layout.line_end, layout.indent));
}

/// Puts elements into another, behind all that it holds.
pub(super) fn put_into(
    patch: &mut Patch<'_>,
    base: usize,
    node: Node<'_, '_>,
    elements: &[Element],
    step: &str,
) {
    if elements.is_empty() {
        return;
    }
    let range = base + node.range().start..base + node.range().end;
    let layout = patch.layout(range.start);
    let indent = format!("{}{step}", layout.indent);
    let inner: String = elements
        .iter()
        .map(|element| {
            let text = element.text(layout.line_end, &indent, step);
            if layout.line_end.is_empty() { text } else { format!("{}{indent}{text}", layout.line_end) }
        })
        .collect();
    let text = &patch.text[range.clone()];
    if let Some(tag) = text.strip_suffix("/>") {
        let at = range.start + tag.len();
        let end = format!(">{inner}{}{}</{}>", layout.line_end, layout.indent, node.name());
        patch.replace(at..range.end, end);
    } else {
        let held = text.rfind("</").unwrap_or(text.len());
        let at = range.start + text[..held].trim_end().len();
        patch.insert(at, inner);
    }
}
