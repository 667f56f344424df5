//! Bars that come or go: put in as bars of rest, or cut out, in all parts of the file. What stands in those that
//! come is written afterwards, as in all other bars.

use std::{collections::BTreeSet, ops::Range};

use super::{
    super::{Document, element::Element, error::ImportError, fresh::places_of, raw::RawPart, tree::Node},
    BackError, OtherParts, Writing,
    in_time::GoneSign,
    measure::{Kind, Measure},
    on_note::Gone,
    patch::{Patch, step_of},
};
use crate::score::{Bar, Quarters, Score, Sign, SignKind};

/// Which bars of the file go, and where how many come.
#[derive(Debug, Default, PartialEq, Eq)]
struct Moves {
    /// In order, apart from one another.
    gone: Vec<Range<usize>>,
    /// Before this bar of the file, or behind the last.
    at: usize,
    come: usize,
}

impl Moves {
    /// A passage that stands in the file as it is: what is before and behind it goes. Else between the bars that are
    /// the same from either end as many come or go as there are more or fewer; then the first bar stays, with other
    /// notes in it. Bars are the same that hold the same notes; what stands on them may be otherwise.
    fn between(old: &Score, new: &Score) -> Option<Self> {
        let (was, is) = (old.bars.len(), new.bars.len());
        if was == is || was == 0 {
            return None;
        }
        let looks = |score: &Score| score.bars.iter().map(|bar| look(score, bar)).collect::<Vec<_>>();
        let (old_looks, new_looks) = (looks(old), looks(new));
        let before = old_looks.iter().zip(&new_looks).take_while(|(old, new)| old == new).count();
        let rest = was.min(is) - before;
        let pairs = old_looks.iter().rev().zip(new_looks.iter().rev()).take(rest);
        let after = pairs.take_while(|(old, new)| old == new).count();
        if is > was {
            let at = if after == was { 0 } else { (was - after).max(1) };
            return Some(Self { at, come: is - was, ..Self::default() });
        }
        let there = (0..=was - is).filter(|from| is > 0 && old_looks[*from..from + is] == new_looks[..]);
        let same_number =
            |from: &usize| new.bars.first().map(|bar| &bar.number) == Some(&old.bars[*from].number);
        let from = there.clone().find(same_number).or_else(|| there.clone().next());
        let between = before.max(1);
        let gone = from.map_or([between..between + (was - is), was..was], |from| [0..from, from + is..was]);
        Some(Self { gone: gone.into_iter().filter(|range| !range.is_empty()).collect(), ..Self::default() })
    }

    fn goes(&self, bar: usize) -> bool {
        self.gone.iter().any(|gone| gone.contains(&bar))
    }

    /// Where a bar of the file is in the lesson, if it stays.
    fn new_index(&self, old: usize) -> Option<usize> {
        let gone: usize = self.gone.iter().map(|gone| gone.end.min(old) - gone.start.min(old)).sum();
        (!self.goes(old)).then(|| old - gone + if old >= self.at { self.come } else { 0 })
    }

    fn count(&self) -> usize {
        self.gone.iter().map(Range::len).sum::<usize>() + self.come
    }
}

/// The notes of a bar, with their times from its start.
fn look(score: &Score, bar: &Bar) -> String {
    let events = places_of(score, bar).map(|place| {
        let event = &score.events[place];
        let pitches: Vec<_> = event.notes.iter().map(|note| note.pitch).collect();
        (event.onset - bar.start, event.duration, event.voice, event.grace.is_some(), pitches)
    });
    format!("{} {:?}", bar.length, events.collect::<Vec<_>>())
}

/// A text with as many bars as a score, and how many come or go; none where it has as many.
///
/// # Errors
/// When the file cannot be read or has its parts in its bars, or other parts have to keep step and may not.
pub(super) fn with_bars(
    document: &Document,
    text: &str,
    part: usize,
    wanted: &Score,
    others: OtherParts,
) -> Result<(Option<String>, usize), BackError> {
    let old = document.read(part)?.score;
    let Some(moves) = Moves::between(&old, wanted) else { return Ok((None, 0)) };
    let refused = |why: &str| {
        let (there, here) = (old.bars.len(), wanted.bars.len());
        let may_follow = document.parts.len() > 1 && others == OtherParts::Stay;
        BackError::OtherBars { there, here, why: why.to_owned(), may_follow }
    };
    if document.parts.len() > 1 && others == OtherParts::Stay {
        return Err(refused("its other parts would have to keep step"));
    }
    let mut patch = Patch::new(text);
    for (index, raw) in document.parts.iter().enumerate() {
        let Ok((imported, origins)) = document.read_with_origins(index) else {
            move_bars(&mut patch, raw, &moves, &old, wanted)?;
            continue;
        };
        let mut writing = Writing::new(text, document, index, &origins, &imported.score);
        moves.gone.iter().for_each(|gone| writing.loosen(gone));
        if !move_bars(&mut writing.patch, raw, &moves, &old, wanted)? {
            return Err(refused("it is written bar by bar, with all parts in each"));
        }
        patch.join(writing.settled()?);
    }
    Ok((patch.apply(), moves.count()))
}

/// Puts bars in and takes them out of a part, and gives those behind them their numbers; false where the file
/// holds its parts otherwise. Clefs, keys and metres that begin in bars that go begin in the next that stays; those of
/// the first bar begin in what comes before it.
fn move_bars(
    patch: &mut Patch<'_>,
    part: &RawPart,
    moves: &Moves,
    old: &Score,
    wanted: &Score,
) -> Result<bool, ImportError> {
    let mut carried: Vec<Range<usize>> = Vec::new();
    for (index, bar) in part.bars.iter().enumerate() {
        let tree = patch.element(bar.origin)?;
        let (root, range) = (tree.root(), tree.root().range());
        if root.name() != "measure" {
            return Ok(false);
        }
        let (layout, step) = (patch.layout(bar.origin), step_of(patch, root, bar.origin));
        if moves.goes(index) {
            carried.extend(attributes(root, bar.origin));
            patch.remove(bar.origin..bar.origin + range.len());
        } else {
            if let Some(new) = moves.new_index(index).and_then(|new| wanted.bars.get(new))
                && old.bars.get(index).is_some_and(|old| old.number != new.number)
            {
                patch.set_attribute(bar.origin, "number", &new.number);
            }
            if let Some(first) = root.children().next() {
                let at = bar.origin + first.at();
                let inner = patch.layout(at);
                let lines = std::mem::take(&mut carried).into_iter();
                let lines =
                    lines.map(|range| format!("{}{}{}", &patch.text[range], inner.line_end, inner.indent));
                let lines: String = lines.collect();
                if !lines.is_empty() {
                    patch.insert(at, lines);
                }
            }
        }
        let come = wanted.bars.get(moves.at..moves.at + moves.come).unwrap_or_default();
        if moves.at == 0 && index == 0 {
            // Those that its notes are counted in.
            let own = Measure::read(patch, bar)?.map_or_else(Vec::new, |own| own.items);
            let note = own.iter().find(|item| matches!(item.kind, Kind::Note(_)));
            let divisions = note.map(|note| note.divisions).or(bar.divisions).unwrap_or(Quarters::ONE);
            let heads = attributes(root, bar.origin);
            for (number, bar) in come.iter().enumerate() {
                let empty = empty_bar(part, bar, divisions).text(layout.line_end, layout.indent, step);
                let head = if number == 0 { heads.first() } else { None };
                let text = match head.zip(empty.split_once('>')) {
                    Some((head, (tag, held))) => {
                        let indent = if layout.line_end.is_empty() { "" } else { step };
                        let head = &patch.text[head.clone()];
                        format!("{tag}>{}{}{indent}{head}{held}", layout.line_end, layout.indent)
                    }
                    None => empty,
                };
                patch.insert(bar_start(part), format!("{text}{}{}", layout.line_end, layout.indent));
            }
            if let Some(head) = heads.first().filter(|_| !come.is_empty()) {
                patch.remove(head.clone());
            }
        } else if index + 1 == moves.at {
            let divisions =
                Measure::read(patch, bar)?.and_then(|own| own.items.last().map(|last| last.divisions));
            let divisions = divisions.or(bar.divisions).unwrap_or(Quarters::ONE);
            let texts = come.iter().map(|bar| {
                let text = empty_bar(part, bar, divisions).text(layout.line_end, layout.indent, step);
                format!("{}{}{text}", layout.line_end, layout.indent)
            });
            patch.insert(bar.origin + range.len(), texts.collect());
        }
    }
    Ok(true)
}

/// Where the first bar of a part stands.
fn bar_start(part: &RawPart) -> usize {
    part.bars.first().map_or(0, |bar| bar.origin)
}

/// The clefs, keys and metres of a bar that stands at `at`, as they stand in the text. What says how bars look, such as
/// how many rests are drawn as one, is the bar's own.
fn attributes(bar: Node<'_, '_>, at: usize) -> Vec<Range<usize>> {
    let says = |node: &Node<'_, '_>| node.children().any(|said| said.name() != "measure-style");
    let own = bar.children().filter(|node| node.name() == "attributes").filter(says);
    own.map(|node| at + node.range().start..at + node.range().end).collect()
}

/// A bar of rest on each staff.
fn empty_bar(part: &RawPart, bar: &Bar, divisions: Quarters) -> Element {
    let duration = Element::new("duration").saying((bar.length * divisions).to_f64());
    let voice = |staff: u8| {
        let voice = part.events.iter().find(|event| event.staff == staff).map_or(0, |event| event.voice);
        part.voices.get(voice).cloned().unwrap_or_else(|| "1".to_owned())
    };
    let mut held = Vec::new();
    for staff in 1..=part.staves.max(1) {
        if staff > 1 {
            held.push(Element::new("backup").holding([duration.clone()]));
        }
        held.push(
            Element::new("note")
                .holding([Element::new("rest").with("measure", "yes")])
                .holding([duration.clone()])
                .holding([Element::new("voice").saying(voice(staff))])
                .holding((part.staves > 1).then(|| Element::new("staff").saying(staff))),
        );
    }
    Element::new("measure").with("number", &bar.number).holding(held)
}

impl Writing<'_> {
    /// Slurs, ties, hairpins and octave lines that have one end in bars that go lose the other one too.
    fn loosen(&mut self, gone: &Range<usize>) {
        let (Some(first), Some(last)) =
            (self.old.bars.get(gone.start), gone.end.checked_sub(1).and_then(|last| self.old.bars.get(last)))
        else {
            return;
        };
        if gone.is_empty() {
            return;
        }
        let (from, to) = (first.start, last.end());
        let events: BTreeSet<usize> =
            (0..self.raw.len()).filter(|&event| gone.contains(&self.raw[event].bar)).collect();
        self.slurs_of(&events);
        for index in (0..self.raw.len()).filter(|index| !events.contains(index)) {
            let event = &self.old.events[index];
            let into_them = event.end() >= from && event.end() < to;
            let ends = event.notes.iter().filter_map(|note| match (note.tie_start, note.tie_stop) {
                (true, _) if into_them => Some((note.pitch, true)),
                (_, true) if event.onset == to => Some((note.pitch, false)),
                _ => None,
            });
            for (pitch, start) in ends.collect::<Vec<_>>() {
                if let Some(change) = self.on_head(index, pitch) {
                    change.gone.push(Gone::Tie { start });
                }
            }
        }
        for index in 0..self.old.signs.len() {
            let Sign { at, kind, .. } = &self.old.signs[index];
            let (start, end) = match kind {
                SignKind::Hairpin { .. } => {
                    (GoneSign::Wedge { start: true }, GoneSign::Wedge { start: false })
                }
                SignKind::OctaveLine { .. } => {
                    (GoneSign::OctaveLine { start: true }, GoneSign::OctaveLine { start: false })
                }
                _ => continue,
            };
            let begins = *at >= from && *at < to;
            let ends = kind.end().is_some_and(|end| end > from && end <= to);
            let origin = self.origins.signs[index];
            let (place, half) = match (begins, ends) {
                (true, false) => (origin.end, end),
                (false, true) => (origin.start, start),
                _ => continue,
            };
            if let Some(place) = place {
                self.gone_signs.entry(place).or_default().push(half);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::{Lesson, change, demo::demo};

    fn without(lesson: &Lesson, bars: Range<usize>) -> Score {
        change::delete_bars(lesson, bars).unwrap().apply(lesson).unwrap().0.score
    }

    #[test]
    fn bars_are_found_where_they_came_or_went() {
        let lesson = demo();
        let (all, few) = (&lesson.score, without(&lesson, 2..4));
        let gone = |one: Range<usize>, other: Range<usize>| {
            let gone = [one, other].into_iter().filter(|range| !range.is_empty()).collect();
            Some(Moves { gone, ..Moves::default() })
        };
        assert_eq!(Moves::between(all, all), None);
        assert_eq!(Moves::between(all, &few), gone(2..4, 0..0));
        assert_eq!(Moves::between(&few, all), Some(Moves { at: 2, come: 2, ..Moves::default() }));
        // At the start, at the end, at both.
        let count = all.bars.len();
        assert_eq!(Moves::between(all, &without(&lesson, 0..1)), gone(0..1, 0..0));
        assert_eq!(Moves::between(&without(&lesson, 0..1), all), Some(Moves { come: 1, ..Moves::default() }));
        assert_eq!(Moves::between(all, &without(&lesson, 4..count)), gone(4..count, 0..0));
        let passage = change::excerpt(&lesson, 3..6).unwrap().score;
        assert_eq!(Moves::between(all, &passage), gone(0..3, 6..count));
        let moves = Moves::between(all, &passage).unwrap();
        assert_eq!([2, 3, 5, 6].map(|bar| moves.new_index(bar)), [None, Some(0), Some(2), None]);
    }
}
