//! Laying notes out over bars: what typed entry does to the notes after the place that changes.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    lesson::Lesson,
    score::{Bar, Event, EventId, NoteValue, Quarters, Score, SignKind, Slur, TimeSignature},
};

/// Deepest printed value: the 256th note.
const SHORTEST: i8 = -8;

/// One note or rest of the first voice with its ties joined, free of bars.
pub(super) struct Item {
    /// The written events, in order; the first carries the marks.
    pub events: Vec<Event>,
    /// How long it lasts; zero for grace notes.
    pub length: Quarters,
    /// Time between the item before and this one; zero except in scores that leave rests out.
    gap: Quarters,
    /// Where it was and how long; none for a new one.
    was: Option<(Quarters, Quarters)>,
    /// It has to be written anew even where it keeps its place.
    rewrite: bool,
}

impl Item {
    /// A note or rest that was not there before.
    pub fn new(event: Event) -> Self {
        Self { length: event.duration, events: vec![event], gap: Quarters::ZERO, was: None, rewrite: true }
    }

    pub fn holds(&self, id: EventId) -> bool {
        self.events.iter().any(|event| event.id == id)
    }

    pub fn is_grace(&self) -> bool {
        self.events[0].grace.is_some()
    }

    /// Gives it another value, as one note; gives back the ids of the tied notes that go.
    pub fn set_value(&mut self, value: NoteValue) -> Vec<EventId> {
        let tail = self.events.split_off(1);
        let head = &mut self.events[0];
        (head.value, head.duration) = (value, value.length());
        if let Some(last) = tail.last() {
            for (note, old) in head.notes.iter_mut().zip(&last.notes) {
                note.tie_start = old.tie_start;
            }
        }
        (self.length, self.rewrite) = (value.length(), true);
        let ids = tail.iter().map(|event| event.id).collect();
        head.marks.extend(tail.into_iter().flat_map(|event| event.marks));
        ids
    }

    /// The item cut in two tied ones, the second starting this far into it; `free` is the id of a new
    /// event where one is needed. None where there is nothing on one side of the cut.
    pub fn cut(mut self, after: Quarters, free: EventId) -> Option<(Self, Self)> {
        if !after.is_positive() || after >= self.length || self.is_grace() {
            return None;
        }
        let at = self.events[0].onset + after;
        let mut second = self.events.split_off(self.events.partition_point(|event| event.onset < at));
        let before = self.events.last_mut()?;
        if before.end() > at {
            // One written note is cut: its marks stay with the first part. The printed values follow
            // when it is written anew.
            let mut rest = Event { onset: at, bow: None, retake: false, same_bow: None, ..before.clone() };
            rest.id = free;
            rest.marks.clear();
            rest.notes.iter_mut().for_each(|note| {
                note.tie_stop = true;
                note.fingers.clear();
            });
            before.notes.iter_mut().for_each(|note| note.tie_start = true);
            second.insert(0, rest);
        }
        let was = |onset, length| self.was.map(|_| (onset, length));
        let (start, length) = (self.events[0].onset, self.length);
        let second = Self {
            length: length - after,
            gap: Quarters::ZERO,
            was: was(at, length - after),
            rewrite: true,
            events: second,
        };
        Some((Self { length: after, was: was(start, after), rewrite: true, ..self }, second))
    }

    /// Grace notes that stand at the end of the note before.
    pub fn is_after_grace(&self) -> bool {
        self.events[0].grace.is_some_and(|grace| grace.after)
    }
}

/// The first voice as items.
pub(super) fn items(score: &Score) -> Vec<Item> {
    let mut items: Vec<Item> = Vec::new();
    let mut end = Quarters::ZERO;
    for event in score.events.iter().filter(|event| event.voice == 0) {
        if let Some(item) = items.last_mut()
            && item.events.last().is_some_and(|before| wholly_tied(before, event))
        {
            item.length += event.duration;
            item.was = item.was.map(|(onset, length)| (onset, length + event.duration));
            item.events.push(event.clone());
        } else {
            items.push(Item {
                events: vec![event.clone()],
                length: event.duration,
                gap: event.onset - end,
                was: Some((event.onset, event.duration)),
                rewrite: false,
            });
        }
        end = event.end();
    }
    items
}

/// The same notes, every one of them tied over.
fn wholly_tied(before: &Event, after: &Event) -> bool {
    before.grace.is_none()
        && after.grace.is_none()
        && !before.is_rest()
        && before.end() == after.onset
        && before.notes.len() == after.notes.len()
        && before
            .notes
            .iter()
            .zip(&after.notes)
            .all(|(a, b)| a.tie_start && b.tie_stop && a.pitch.midi() == b.pitch.midi())
}

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
        let next = Bar {
            start: last.end(),
            length: if length.is_positive() { length } else { Quarters::from(4) },
            number,
            pickup: false,
            repeat_start: false,
            repeat_end: false,
            ending: None,
            ..last.clone()
        };
        // A final barline stays at the end.
        last.double_barline = false;
        bars.push(next);
    }
}

/// A first bar.
pub(super) fn first_bar(time: TimeSignature, key: i8) -> Bar {
    Bar {
        start: Quarters::ZERO,
        length: time.bar_length().unwrap_or(Quarters::from(4)),
        number: "1".to_owned(),
        pickup: false,
        time,
        key,
        repeat_start: false,
        repeat_end: false,
        ending: None,
        double_barline: false,
    }
}

/// Writes one item as events, split at the barlines.
fn write(old: Vec<Event>, start: Quarters, length: Quarters, bars: &[Bar], free: &mut u32) -> Vec<Event> {
    let head = old[0].clone();
    let (tied_in, tied_out): (Vec<bool>, Vec<bool>) = (
        head.notes.iter().map(|note| note.tie_stop).collect(),
        old[old.len() - 1].notes.iter().map(|note| note.tie_start).collect(),
    );
    let mut pieces: Vec<(Quarters, NoteValue, bool)> = Vec::new();
    let mut at = start;
    let end = start + length;
    while at < end {
        let bar = &bars[bars.partition_point(|bar| bar.start <= at).saturating_sub(1)];
        let until = if bar.end() > at { bar.end().min(end) } else { end };
        let whole_bar = head.is_rest() && at == bar.start && until == bar.end();
        if old.len() == 1 && at == start && until == end && head.duration == length {
            pieces.push((length, head.value, whole_bar));
        } else {
            let values = printable(until - at, head.value.tuplet);
            let only = values.len() == 1;
            pieces.extend(values.into_iter().map(|(length, value)| (length, value, whole_bar && only)));
        }
        at = until;
    }
    if pieces.is_empty() {
        pieces.push((head.duration, head.value, false));
    }
    let count = pieces.len();
    let mut written: Vec<Event> = Vec::with_capacity(count);
    let mut onset = start;
    let mut rest_of_old = old.into_iter();
    for (index, (duration, value, whole_bar)) in pieces.into_iter().enumerate() {
        let mut event = rest_of_old.next().unwrap_or_else(|| {
            let id = EventId(*free);
            *free += 1;
            let mut notes = head.notes.clone();
            notes.iter_mut().for_each(|note| note.fingers.clear());
            Event {
                voice: head.voice,
                tremolo: head.tremolo,
                pizzicato: head.pizzicato,
                cue: head.cue,
                ..Event::new(id, onset, value, notes)
            }
        });
        for (i, note) in event.notes.iter_mut().enumerate() {
            note.tie_stop = index > 0 || tied_in.get(i).is_some_and(|tied| *tied);
            note.tie_start = index + 1 < count || tied_out.get(i).is_some_and(|tied| *tied);
        }
        (event.onset, event.duration, event.value, event.whole_bar) = (onset, duration, value, whole_bar);
        onset += duration;
        written.push(event);
    }
    // Marks of tied notes that are no longer written out (a fermata on the last) are kept.
    for left in rest_of_old {
        written[count - 1].marks.extend(left.marks);
    }
    written
}

/// Printable values that add up to a length, longest first. A tuplet is taken from `like` where it
/// fits, else from the odd part of the fraction (thirds are triplets, fifths quintuplets). What is
/// shorter than any printed value is written as the shortest one.
fn printable(length: Quarters, like: Option<(u16, u16)>) -> Vec<(Quarters, NoteValue)> {
    let odd = length.denom() >> length.denom().trailing_zeros();
    let tuplet = match (odd, like) {
        (1, _) => None,
        (_, Some((actual, normal))) if actual > 0 && normal > 0 && i64::from(actual) % odd == 0 => {
            Some((actual, normal))
        }
        _ => u16::try_from(odd).ok().map(|actual| (actual, 1 << actual.ilog2())),
    };
    let mut values = Vec::new();
    let mut left = length;
    while left.is_positive() {
        let longest = (SHORTEST..=1)
            .rev()
            .flat_map(|log2_whole| (0..=2).rev().map(move |dots| NoteValue { log2_whole, dots, tuplet }));
        match longest.map(|value| (value.length(), value)).find(|(length, _)| *length <= left) {
            Some((length, value)) => {
                values.push((length, value));
                left = left - length;
            }
            None => {
                values.push((left, NoteValue { log2_whole: SHORTEST, dots: 0, tuplet }));
                break;
            }
        }
    }
    values
}

/// Moves dynamics, hairpins and words with the notes; what stands at the very start stays.
fn move_signs(score: &mut Score, items: &[Item], starts: &[Quarters], gone: &[Item]) {
    // Old onset, old length, new onset, new length, in old order.
    let mut moves: Vec<[Quarters; 4]> = items
        .iter()
        .zip(starts)
        .filter_map(|(item, &start)| item.was.map(|(onset, length)| [onset, length, start, item.length]))
        .collect();
    for (onset, length) in gone.iter().filter_map(|item| item.was) {
        // A note that is gone has its place where the note before it now ends.
        let before = moves.iter().filter(|m| m[0] < onset).max_by_key(|m| m[0]);
        moves.push([onset, length, before.map_or(Quarters::ZERO, |m| m[2] + m[3]), Quarters::ZERO]);
    }
    moves.sort();
    let moved = |at: Quarters| {
        let after = moves.partition_point(|m| m[0] <= at);
        let Some(&[onset, length, start, new_length]) = after.checked_sub(1).map(|k| &moves[k]) else {
            return at;
        };
        if at.is_zero() {
            at
        } else if at >= onset + length {
            start + new_length + (at - onset - length)
        } else {
            start + (at - onset).min(new_length)
        }
    };
    for sign in &mut score.signs {
        match &mut sign.kind {
            SignKind::Dynamic(_) | SignKind::Words(_) => sign.at = moved(sign.at),
            SignKind::Hairpin { end, .. } => {
                sign.at = moved(sign.at);
                *end = moved(*end);
            }
            SignKind::Tempo { .. } | SignKind::Rehearsal(_) | SignKind::Clef(_) => {}
        }
    }
    score.signs.retain(|sign| !matches!(sign.kind, SignKind::Hairpin { end, .. } if end <= sign.at));
}

/// Fits the slurs of the first voice to the notes that are left.
fn mend_slurs(
    score: &mut Score,
    old: &Score,
    item_of: &BTreeMap<EventId, usize>,
    ends: &[(EventId, EventId)],
) {
    let place: BTreeMap<EventId, usize> =
        old.events.iter().enumerate().map(|(k, event)| (event.id, k)).collect();
    let slurs = std::mem::take(&mut score.slurs);
    score.slurs = slurs
        .into_iter()
        .filter_map(|slur| {
            let (from, to) = (*place.get(&slur.from)?, *place.get(&slur.to)?);
            if old.events[from].voice != 0 || from > to {
                return Some(slur);
            }
            let notes = old.events[from..=to].iter().filter(|event| event.voice == 0 && !event.is_rest());
            let left: BTreeSet<usize> = notes.filter_map(|event| item_of.get(&event.id).copied()).collect();
            let (first, last) = (*left.first()?, *left.last()?);
            (first < last).then(|| Slur { from: ends[first].0, to: ends[last].1, ..slur })
        })
        .collect();
}

/// Removes half ties of the first voice whose other half is gone.
fn mend_ties(score: &mut Score) {
    let voice: Vec<usize> = (0..score.events.len())
        .filter(|&k| score.events[k].voice == 0 && score.events[k].grace.is_none())
        .collect();
    let has = |event: &Event, midi: f64, start: bool| {
        event
            .notes
            .iter()
            .any(|note| note.pitch.midi() == midi && if start { note.tie_start } else { note.tie_stop })
    };
    for pair in voice.windows(2) {
        let (before, after) = (score.events[pair[0]].clone(), score.events[pair[1]].clone());
        let meet = before.end() == after.onset;
        for note in &mut score.events[pair[0]].notes {
            note.tie_start &= meet && has(&after, note.pitch.midi(), false);
        }
        for note in &mut score.events[pair[1]].notes {
            note.tie_stop &= meet && has(&before, note.pitch.midi(), true);
        }
    }
    if let Some(&last) = voice.last() {
        score.events[last].notes.iter_mut().for_each(|note| note.tie_start = false);
    }
    if let Some(&first) = voice.first() {
        score.events[first].notes.iter_mut().for_each(|note| note.tie_stop = false);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Common practice: five quarters are a whole note tied to a quarter, a third is a triplet
    /// eighth, a sixth a triplet 16th.
    #[test]
    fn lengths_become_printable_values() {
        let plain = |log2_whole| NoteValue::plain(log2_whole);
        assert_eq!(
            printable(Quarters::from(5), None),
            [(Quarters::from(4), plain(0)), (Quarters::ONE, plain(-2))]
        );
        assert_eq!(
            printable(Quarters::new(3, 2), None),
            [(Quarters::new(3, 2), NoteValue { dots: 1, ..plain(-2) })]
        );
        for (length, log2_whole) in [(Quarters::new(1, 3), -3), (Quarters::new(1, 6), -4)] {
            let value = NoteValue { tuplet: Some((3, 2)), ..plain(log2_whole) };
            assert_eq!(printable(length, None), [(length, value)]);
        }
        for numer in 1..200 {
            for denom in [1, 2, 3, 5, 7, 9, 16, 640, 1001, 20_160] {
                let length = Quarters::new(numer, denom);
                let sum: Quarters = printable(length, Some((3, 2))).iter().map(|piece| piece.0).sum();
                assert_eq!(sum, length);
            }
        }
    }
}
