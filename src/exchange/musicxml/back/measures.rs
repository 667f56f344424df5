//! Bars that come or go: put in as bars of rest, or cut out, in all parts of the file. What stands in those that
//! come is written afterwards, as in all other bars.

use std::{collections::BTreeSet, ops::Range};

use super::{
    super::{Document, element::Element, error::ImportError, fresh::places_of, raw::RawPart},
    BackError, OtherParts, Writing,
    in_time::GoneSign,
    measure::Measure,
    patch::{Patch, step_of},
};
use crate::score::{Bar, EventId, Quarters, Score, Sign, SignKind};

/// Which bars of the file go, and how many come in their place.
#[derive(Debug, PartialEq, Eq)]
struct Moves {
    gone: Range<usize>,
    come: usize,
}

impl Moves {
    /// Between the bars that are the same from either end as many come or go as there are more or fewer. The
    /// first bar stays, with other notes in it: clef, key and metre of all stand there.
    fn between(old: &Score, new: &Score) -> Option<Self> {
        let (was, is) = (old.bars.len(), new.bars.len());
        if was == is || was == 0 {
            return None;
        }
        let looks = |score: &Score| score.bars.iter().map(|bar| look(score, bar)).collect::<Vec<_>>();
        let (old, new) = (looks(old), looks(new));
        let before = old.iter().zip(&new).take_while(|(old, new)| old == new).count();
        let rest = was.min(is) - before;
        let pairs = old.iter().rev().zip(new.iter().rev()).take(rest);
        let after = pairs.take_while(|(old, new)| old == new).count();
        let from = before.max(1);
        Some(if is > was {
            let at = (was - after).max(1);
            Self { gone: at..at, come: is - was }
        } else {
            Self { gone: from..from + (was - is), come: 0 }
        })
    }

    /// Where a bar of the file is in the lesson, if it stays.
    fn new_index(&self, old: usize) -> Option<usize> {
        match old {
            old if old < self.gone.start => Some(old),
            old if old < self.gone.end => None,
            old => Some(old - self.gone.len() + self.come),
        }
    }
}

/// What stands in a bar, from its start.
fn look(score: &Score, bar: &Bar) -> String {
    let events = places_of(score, bar).map(|place| {
        let mut event = score.events[place].clone().own();
        (event.id, event.line, event.onset) = (EventId(0), 0, event.onset - bar.start);
        event
    });
    let signs = score.signs.iter().filter(|sign| sign.at >= bar.start && sign.at < bar.end());
    let signs = signs.map(|sign| {
        let mut kind = sign.kind.clone();
        if let Some(end) = kind.end_mut() {
            *end = *end - bar.start;
        }
        (sign.at - bar.start, kind)
    });
    format!("{} {:?} {:?}", bar.length, events.collect::<Vec<_>>(), signs.collect::<Vec<_>>())
}

/// A text with as many bars as a score, and how many come or go; none where it has as many.
///
/// # Errors
/// When the file cannot be read or divides its music by bars first, or other parts have to keep step and may not.
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
        let divisions = |bar: Option<usize>| bar.and_then(|bar| raw.bars.get(bar)).map(|bar| bar.divisions);
        let (first, next) = (Some(moves.gone.start), Some(moves.gone.end));
        let is_last = moves.gone.end >= raw.bars.len();
        if !moves.gone.is_empty() && !is_last && divisions(first) != divisions(next) {
            return Err(refused("the length of its ticks changes in the bars that would go"));
        }
        let Ok((imported, origins)) = document.read_with_origins(index) else {
            move_bars(&mut patch, raw, &moves, &old, wanted)?;
            continue;
        };
        let mut writing = Writing::new(text, document, index, &origins, &imported.score);
        writing.loosen(&moves.gone);
        if !move_bars(&mut writing.patch, raw, &moves, &old, wanted)? {
            return Err(refused("it is written bar by bar, with all parts in each"));
        }
        patch.join(writing.settled()?);
    }
    Ok((patch.apply(), moves.gone.len() + moves.come))
}

/// Puts bars in and takes them out of a part, and gives those behind them their numbers; false where the file
/// holds its parts otherwise.
fn move_bars(
    patch: &mut Patch<'_>,
    part: &RawPart,
    moves: &Moves,
    old: &Score,
    wanted: &Score,
) -> Result<bool, ImportError> {
    for (index, bar) in part.bars.iter().enumerate() {
        let tree = patch.element(bar.origin)?;
        let (root, range) = (tree.root(), tree.root().range());
        if root.name() != "measure" {
            return Ok(false);
        }
        if moves.gone.contains(&index) {
            patch.remove(bar.origin..bar.origin + range.len());
        } else if let Some(new) = moves.new_index(index).and_then(|new| wanted.bars.get(new))
            && old.bars.get(index).is_some_and(|old| old.number != new.number)
        {
            patch.set_attribute(bar.origin, "number", &new.number);
        }
        if moves.come > 0 && index + 1 == moves.gone.start {
            let divisions =
                Measure::read(patch, bar)?.and_then(|own| own.items.last().map(|last| last.divisions));
            let divisions = divisions.or(bar.divisions).unwrap_or(Quarters::ONE);
            let (layout, step) = (patch.layout(bar.origin), step_of(patch, root, bar.origin));
            let come = &wanted.bars[moves.gone.start..moves.gone.start + moves.come];
            let texts = come.iter().map(|bar| {
                let text = empty_bar(part, bar, divisions).text(layout.line_end, layout.indent, step);
                format!("{}{}{text}", layout.line_end, layout.indent)
            });
            patch.insert(bar.origin + range.len(), texts.collect());
        }
    }
    Ok(true)
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
    /// Slurs, hairpins and octave lines that have one end in bars that go lose the other one too.
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
        assert_eq!(Moves::between(all, all), None);
        assert_eq!(Moves::between(all, &few), Some(Moves { gone: 2..4, come: 0 }));
        assert_eq!(Moves::between(&few, all), Some(Moves { gone: 2..2, come: 2 }));
        // The first bar stays where it is.
        assert_eq!(Moves::between(all, &without(&lesson, 0..1)).map(|moves| moves.gone), Some(1..2));
    }
}
