//! A bar of the file as it is written: what stands in it one after another, and when.

use std::ops::Range;

use super::{
    super::{
        error::ImportError,
        fresh::MOST_TICKS,
        raw::RawBar,
        tree::Node,
        xml::{child, child_text, decimal, text},
    },
    patch::{Patch, step_of},
};
use crate::score::Quarters;

/// What stands in a bar.
pub(super) struct Measure<'t> {
    pub items: Vec<Item>,
    /// One step inward, as the file has it.
    pub step: &'t str,
}

/// An element of a bar.
pub(super) struct Item {
    /// Where it stands in the text.
    pub range: Range<usize>,
    /// From the start of the bar: where it stands in time, and where what follows it does.
    pub at: Quarters,
    pub after: Quarters,
    /// Ticks in a quarter note behind it.
    pub divisions: Quarters,
    pub kind: Kind,
}

/// What an element of a bar is, for whoever writes notes in its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Kind {
    Note(Groups),
    /// A `<backup>` or `<forward>`.
    Move,
    Barline,
    Other,
}

/// How a note is joined to those beside it, and who plays it.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Groups {
    /// Its outer beam goes on to the next note; none where it has no beam.
    pub beam_goes_on: Option<bool>,
    /// Tuplets, and tremolos to the next note, that begin on it less those that end.
    pub opened: i32,
    pub instrument: Option<String>,
}

impl<'t> Measure<'t> {
    /// Reads a bar again. None where its times cannot be told.
    pub(super) fn read(patch: &Patch<'t>, bar: &RawBar) -> Result<Option<Self>, ImportError> {
        let tree = patch.element(bar.origin)?;
        let Some(mut divisions) = bar.divisions.or(Some(Quarters::ONE)) else { return Ok(None) };
        let (mut at, mut base) = (Quarters::ZERO, Quarters::ZERO);
        let mut items = Vec::new();
        for node in tree.root().children() {
            let range = bar.origin + node.range().start..bar.origin + node.range().end;
            let length = child_text(node, "duration").and_then(decimal).map(|ticks| ticks / divisions);
            let here = at;
            let (mut start, mut kind) = (at, Kind::Other);
            match node.name() {
                "note" => {
                    let chord = child(node, "chord").is_some();
                    let timeless = chord || child(node, "grace").is_some();
                    start = if chord { base } else { here };
                    kind = Kind::Note(groups(node));
                    match length {
                        _ if timeless => {}
                        Some(length) => at += length,
                        None => return Ok(None),
                    }
                    base = start;
                }
                "backup" | "forward" => {
                    let Some(length) = length else { return Ok(None) };
                    kind = Kind::Move;
                    at = if node.name() == "forward" { at + length } else { at - length };
                }
                "barline" => kind = Kind::Barline,
                "attributes" => {
                    let own = child(node, "divisions").and_then(|node| decimal(text(node)));
                    divisions = own.filter(|own| own.is_positive()).unwrap_or(divisions);
                }
                _ => {}
            }
            items.push(Item { range, at: start, after: at, divisions, kind });
        }
        let whole = divisions.denom() == 1 && divisions <= Quarters::from(MOST_TICKS);
        Ok(whole.then(|| Self { items, step: step_of(patch, tree.root(), bar.origin) }))
    }

    /// The place of the element that begins at a byte of the text.
    pub(super) fn place(&self, origin: usize) -> Option<usize> {
        self.items.iter().position(|item| item.range.start == origin)
    }
}

fn groups(note: Node<'_, '_>) -> Groups {
    let outer = |beam: &Node<'_, '_>| beam.attribute("number").is_none_or(|number| number.trim() == "1");
    let beam = note.children().filter(|node| node.name() == "beam").find(outer);
    let held = note.children().filter(|node| node.name() == "notations").flat_map(Node::children);
    let ends = held.flat_map(|node| match node.name() {
        "ornaments" => node.children().filter(|node| node.name() == "tremolo").collect(),
        "tuplet" => vec![node],
        _ => Vec::new(),
    });
    let opened = |node: Node<'_, '_>| match node.attribute("type") {
        Some("start") => 1,
        Some("stop") => -1,
        _ => 0,
    };
    Groups {
        beam_goes_on: beam.map(|beam| matches!(text(beam), "begin" | "continue")),
        opened: ends.map(opened).sum(),
        instrument: child(note, "instrument").and_then(|node| node.attribute("id")).map(str::to_owned),
    }
}
