//! One note or rest written as tied notes of printable values, split at the barlines.

use crate::score::{Bar, Event, EventId, NoteValue, Quarters, Shared};

/// Deepest printed value: the 256th note.
const SHORTEST: i8 = -8;

/// Writes one item as events, split at the barlines.
pub(super) fn write(
    old: Vec<Shared<Event>>,
    start: Quarters,
    length: Quarters,
    bars: &[Bar],
    free: &mut u32,
) -> Vec<Shared<Event>> {
    let head = old[0].clone();
    let (tied_in, tied_out): (Vec<bool>, Vec<bool>) = (
        head.notes.iter().map(|note| note.tie_stop).collect(),
        old[old.len() - 1].notes.iter().map(|note| note.tie_start).collect(),
    );
    let pieces = pieces(&old, start, length, bars);
    let count = pieces.len();
    let mut written: Vec<Shared<Event>> = Vec::with_capacity(count);
    let mut onset = start;
    let mut rest_of_old = old.into_iter();
    for (index, (duration, value, whole_bar)) in pieces.into_iter().enumerate() {
        let mut event = rest_of_old.next().unwrap_or_else(|| {
            let id = EventId(*free);
            *free += 1;
            let mut notes = head.notes.clone();
            notes.iter_mut().for_each(|note| note.fingers.clear());
            Shared::from(Event {
                voice: head.voice,
                tremolo: head.tremolo,
                pizzicato: head.pizzicato,
                cue: head.cue,
                ..Event::new(id, onset, value, notes)
            })
        });
        for (i, note) in event.notes.iter_mut().enumerate() {
            note.tie_stop = index > 0 || tied_in.get(i).is_some_and(|tied| *tied);
            note.tie_start = index + 1 < count || tied_out.get(i).is_some_and(|tied| *tied);
        }
        if count > 1 {
            event.tremolo_to_next = None;
        }
        (event.onset, event.duration, event.value, event.whole_bar) = (onset, duration, value, whole_bar);
        onset += duration;
        written.push(event);
    }
    // Marks of tied notes that are no longer written out (a fermata on the last) are kept.
    for left in rest_of_old {
        written[count - 1].marks.extend(left.own().marks);
    }
    written
}

/// What is printed of a note or rest: length, value, and whether it is a rest of a whole bar. What
/// lies in one bar with its old length keeps its old value.
fn pieces(
    old: &[Shared<Event>],
    start: Quarters,
    length: Quarters,
    bars: &[Bar],
) -> Vec<(Quarters, NoteValue, bool)> {
    let head = &old[0];
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
    pieces
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
