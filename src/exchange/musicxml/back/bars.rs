//! Keys, metres, repeats and endings: what a bar says once for all that stands in it.

use super::{
    super::{
        element::Element,
        error::ImportError,
        fresh::time,
        raw::RawBar,
        tree::Node,
        xml::{child, child_text},
    },
    Writing,
    on_note::{put_after, put_before, put_into},
    patch::{Patch, step_of},
};
use crate::score::{Bar, Score};

/// What stands before the metre in attributes, and before the key (MusicXML 4.0, `attributes`).
const BEFORE_TIME: [&str; 4] = ["footnote", "level", "divisions", "key"];
const BEFORE_KEY: [&str; 3] = ["footnote", "level", "divisions"];
/// What may stand before the first attributes of a bar.
const BEFORE_ATTRIBUTES: [&str; 2] = ["print", "barline"];
/// What barlines hold that is written anew.
const ON_BARLINES: [&str; 3] = ["bar-style", "repeat", "ending"];

impl Writing<'_> {
    /// Writes other keys into the part, other metres, repeats and endings into all parts of the file, which
    /// must agree in them; gives how many bars are changed.
    pub(super) fn other_bars(&mut self, wanted: &Score) -> Result<usize, ImportError> {
        let around = |bars: &[Bar], index: usize| {
            let before = index.checked_sub(1).and_then(|before| bars.get(before)).cloned();
            (before, bars[index].clone(), bars.get(index + 1).cloned())
        };
        let mut count = 0;
        for index in 0..self.old.bars.len().min(wanted.bars.len()) {
            let (old_before, old, old_after) = around(&self.old.bars, index);
            let (new_before, new, new_after) = around(&wanted.bars, index);
            let ((old_before, old_after), (new_before, new_after)) =
                ((old_before.as_ref(), old_after.as_ref()), (new_before.as_ref(), new_after.as_ref()));
            let mut changed = false;
            let key = |bar: &Bar, before: Option<&Bar>| {
                let said = before.is_none_or(|before| before.key != bar.key);
                said.then(|| Element::new("key").holding([Element::new("fifths").saying(bar.key)]))
            };
            let metre = |bar: &Bar, before: Option<&Bar>| {
                before.is_none_or(|before| before.time != bar.time).then(|| time(&bar.time))
            };
            let (was, is) = (key(&old, old_before), key(&new, new_before));
            if was != is || old.key != new.key {
                set_attribute(&mut self.patch, &self.part.bars[index], ("key", &BEFORE_KEY), is)?;
                changed = true;
            }
            let metres = (metre(&old, old_before), metre(&new, new_before));
            let lefts = (Barline::left(&old, old_before), Barline::left(&new, new_before));
            let rights = (Barline::right(&old, old_after), Barline::right(&new, new_after));
            for bar in self.document.parts.iter().filter_map(|part| part.bars.get(index)) {
                if metres.0 != metres.1 || old.time != new.time {
                    set_attribute(&mut self.patch, bar, ("time", &BEFORE_TIME), metres.1.clone())?;
                    changed = true;
                }
                for (was, is) in [&lefts, &rights] {
                    if was != is {
                        set_barline(&mut self.patch, bar, is)?;
                        changed = true;
                    }
                }
            }
            count += usize::from(changed);
        }
        Ok(count)
    }
}

/// Puts an element into the attributes at the start of a bar, in the place of the one they have, or takes
/// that out.
fn set_attribute(
    patch: &mut Patch<'_>,
    bar: &RawBar,
    (name, before): (&str, &[&str]),
    new: Option<Element>,
) -> Result<(), ImportError> {
    let tree = patch.element(bar.origin)?;
    let (measure, base) = (tree.root(), bar.origin);
    let step = step_of(patch, measure, base);
    let at_start = measure.children().take_while(|node| node.name() != "note");
    let main = |node: &Node<'_, '_>| node.attribute("number").is_none_or(|staff| staff.trim() == "1");
    let mut at_start = at_start.filter(|node| node.name() == "attributes").collect::<Vec<_>>().into_iter();
    let own = |holder: Node<'_, '_>| child(holder, name).filter(main).is_some();
    let holder = at_start.clone().find(|holder| own(*holder)).or_else(|| at_start.next());
    let held = holder.and_then(|holder| child(holder, name).filter(main));
    match (holder, held, new) {
        (_, Some(held), Some(new)) => replace(patch, base, held, &new, step),
        (Some(holder), Some(_), None) if holder.children().count() == 1 => remove(patch, base, holder),
        (_, Some(held), None) => remove(patch, base, held),
        (Some(holder), None, Some(new)) => {
            match holder.children().find(|node| !before.contains(&node.name())) {
                Some(after) => put_before(patch, base + after.at(), &new, step),
                None => put_into(patch, base, holder, &[new], step),
            }
        }
        (None, None, Some(new)) => {
            let first = measure.children().find(|node| !BEFORE_ATTRIBUTES.contains(&node.name()));
            let attributes = Element::new("attributes").holding([new]);
            if let Some(first) = first {
                put_before(patch, base + first.at(), &attributes, step);
            }
        }
        (_, None, None) => {}
    }
    Ok(())
}

/// What a barline says besides how it looks.
#[derive(Clone, Debug, PartialEq)]
struct Barline {
    location: &'static str,
    /// The numbers of an ending that begins or ends there, and which of the two.
    ending: Option<(String, &'static str)>,
    repeat: Option<&'static str>,
    /// What it looks like where a repeat is taken away.
    plain: Option<&'static str>,
}

impl Barline {
    fn left(bar: &Bar, before: Option<&Bar>) -> Self {
        Self {
            location: "left",
            ending: ending_beside(bar, before).map(|number| (number, "start")),
            repeat: bar.repeat_start.then_some("forward"),
            plain: None,
        }
    }

    fn right(bar: &Bar, after: Option<&Bar>) -> Self {
        Self {
            location: "right",
            ending: ending_beside(bar, after).map(|number| (number, "stop")),
            repeat: bar.repeat_end.then_some("backward"),
            plain: Some(if after.is_some() { "light-light" } else { "light-heavy" }),
        }
    }

    /// Its element in the place of one that looks so, or of none; none where it says nothing.
    fn element(&self, old_style: Option<&str>, repeated: bool) -> Option<Element> {
        let style = match self.repeat {
            Some("forward") => Some("heavy-light"),
            Some(_) => Some("light-heavy"),
            None if repeated => self.plain,
            None => old_style,
        };
        let says = style.is_some() || self.ending.is_some();
        let ending = |(number, kind): &(String, &'static str)| {
            Element::new("ending").with("number", number).with("type", kind)
        };
        says.then(|| {
            Element::new("barline")
                .with("location", self.location)
                .holding(style.map(|style| Element::new("bar-style").saying(style)))
                .holding(self.ending.as_ref().map(ending))
                .holding(self.repeat.map(|to| Element::new("repeat").with("direction", to)))
        })
    }
}

/// The ending over a bar that is not over the one beside it.
fn ending_beside(bar: &Bar, beside: Option<&Bar>) -> Option<String> {
    bar.ending.clone().filter(|own| beside.and_then(|beside| beside.ending.as_ref()) != Some(own))
}

/// Writes a barline anew, where it holds nothing else than is written.
fn set_barline(patch: &mut Patch<'_>, bar: &RawBar, new: &Barline) -> Result<(), ImportError> {
    let tree = patch.element(bar.origin)?;
    let (measure, base) = (tree.root(), bar.origin);
    let step = step_of(patch, measure, base);
    let here = |node: &Node<'_, '_>| {
        node.name() == "barline" && node.attribute("location").unwrap_or("right") == new.location
    };
    let old = measure.children().find(here);
    if old.is_some_and(|old| !old.children().all(|held| ON_BARLINES.contains(&held.name()))) {
        return Ok(());
    }
    let style = old.and_then(|old| child_text(old, "bar-style"));
    let element = new.element(style, old.is_some_and(|old| child(old, "repeat").is_some()));
    match (old, element) {
        (Some(old), Some(new)) => replace(patch, base, old, &new, step),
        (Some(old), None) => remove(patch, base, old),
        (None, Some(element)) if new.location == "left" => {
            if let Some(first) = measure.children().find(|node| node.name() != "print") {
                put_before(patch, base + first.at(), &element, step);
            }
        }
        (None, Some(element)) => {
            if let Some(last) = measure.children().last() {
                put_after(patch, (base + last.at(), base + last.range().end), &element, step);
            }
        }
        (None, None) => {}
    }
    Ok(())
}

fn replace(patch: &mut Patch<'_>, base: usize, old: Node<'_, '_>, new: &Element, step: &str) {
    let layout = patch.layout(base + old.at());
    let text = new.text(layout.line_end, layout.indent, step);
    patch.replace(base + old.range().start..base + old.range().end, text);
}

fn remove(patch: &mut Patch<'_>, base: usize, node: Node<'_, '_>) {
    patch.remove(base + node.range().start..base + node.range().end);
}
