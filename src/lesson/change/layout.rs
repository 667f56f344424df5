//! Laying notes out over bars: what typed entry does to the notes after the place that changes.

use std::collections::BTreeMap;

use super::{
    item::Item,
    mending::{mend_slurs, mend_ties, move_signs},
    writing::write,
};
use crate::{
    lesson::Lesson,
    score::{Bar, EventId, Quarters, TimeSignature},
};

/// The lesson with its first voice replaced by `items`, written from left to right into the bars;
/// bars are added at the end as they are needed.
///
/// What keeps its place keeps its notation. All else is split at the barlines into tied notes of
/// printable values. Dynamics, hairpins and words move with the notes they stand at; slurs and
/// what is fixed on notes keep to them, or go with them.
pub(super) fn lay_out(lesson: &Lesson, mut items: Vec<Item>, gone: &[Item]) -> Lesson {
    let mut new = lesson.clone();
    let score = &mut new.score;
    let mut starts = Vec::with_capacity(items.len());
    let mut end = Quarters::ZERO;
    for item in &items {
        let start = end + item.gap;
        starts.push(start);
        end = start + item.length;
    }
    add_bars(&mut score.bars, end);
    move_signs(score, &items, &starts, gone);
    let mut free = lesson.score.free_event_id().0;
    free = items.iter().flat_map(|item| &item.events).map(|event| event.id.0 + 1).fold(free, u32::max);
    // Which item an old or new event belongs to, and the first and last event of each item.
    let mut item_of: BTreeMap<EventId, usize> = BTreeMap::new();
    let mut ends: Vec<(EventId, EventId)> = Vec::with_capacity(items.len());
    score.events.retain(|event| event.voice != 0);
    for (index, (item, &start)) in items.iter_mut().zip(&starts).enumerate() {
        item_of.extend(item.events.iter().map(|event| (event.id, index)));
        let written = std::mem::take(&mut item.events);
        let written = if !item.rewrite && item.was == Some((start, item.length)) {
            written
        } else {
            write(written, start, item.length, &score.bars, &mut free)
        };
        ends.push((written[0].id, written[written.len() - 1].id));
        score.events.extend(written);
    }
    mend_slurs(score, &lesson.score, &item_of, &ends);
    for pin in &mut new.pins {
        if let Some(&item) = item_of.get(&pin.event) {
            pin.event = ends[item].0;
        }
    }
    score.sort();
    mend_ties(score);
    new.forget_lost_notes();
    new
}

/// Adds bars like the last one until they reach `end`.
fn add_bars(bars: &mut Vec<Bar>, end: Quarters) {
    if bars.is_empty() {
        bars.push(first_bar(TimeSignature::default(), 0));
    }
    while let Some(last) = bars.last_mut()
        && last.end() < end
    {
        let length = last.time.bar_length().unwrap_or(last.length);
        let number =
            last.number.parse().map_or_else(|_| String::new(), |number: u32| (number + 1).to_string());
        let length = if length.is_positive() { length } else { Quarters::from(4) };
        let next = Bar {
            double_barline: last.double_barline,
            ..Bar::new(last.end(), length, number, last.time.clone(), last.key)
        };
        // A final barline stays at the end.
        last.double_barline = false;
        bars.push(next);
    }
}

/// A first bar.
pub(super) fn first_bar(time: TimeSignature, key: i8) -> Bar {
    Bar::new(Quarters::ZERO, time.bar_length().unwrap_or(Quarters::from(4)), "1", time, key)
}
