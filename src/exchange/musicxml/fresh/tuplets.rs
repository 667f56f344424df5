//! Where tuplets begin and end.

use crate::score::{Event, NoteValue, Quarters};

/// For each event of one voice in one bar whether a tuplet begins and whether it ends on it.
///
/// A tuplet is full when it lasts as long as its normal number of its shortest value.
pub(super) fn ends(events: &[&Event]) -> Vec<(bool, bool)> {
    let mut ends = vec![(false, false); events.len()];
    let mut open: Option<(usize, (u16, u16), Quarters, Quarters)> = None;
    for (index, event) in events.iter().enumerate() {
        if event.grace.is_some() {
            continue;
        }
        if open.as_ref().is_some_and(|(_, ratio, ..)| event.value.tuplet != Some(*ratio))
            && let Some((from, ..)) = open.take()
        {
            ends[index.saturating_sub(1).max(from)].1 = true;
        }
        let Some(ratio) = event.value.tuplet else { continue };
        let plain = NoteValue::plain(event.value.log2_whole).length();
        let (from, _, shortest, length) = open.take().unwrap_or((index, ratio, plain, Quarters::ZERO));
        let (shortest, length) = (shortest.min(plain), length + event.duration);
        ends[from].0 = true;
        if length >= shortest * Quarters::from(i64::from(ratio.1)) {
            ends[index].1 = true;
        } else {
            open = Some((from, ratio, shortest, length));
        }
    }
    if let (Some((from, ..)), Some(last)) = (open, ends.len().checked_sub(1)) {
        ends[last.max(from)].1 = true;
    }
    ends
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{EventId, Note, Pitch};

    /// Common practice, no source.
    #[test]
    fn a_tuplet_ends_where_it_is_full() {
        let triplet = |log2_whole| NoteValue { tuplet: Some((3, 2)), ..NoteValue::plain(log2_whole) };
        let values = [triplet(-3), triplet(-3), triplet(-3), triplet(-2), triplet(-3), NoteValue::QUARTER];
        let mut onset = Quarters::ZERO;
        let events: Vec<Event> = values
            .iter()
            .enumerate()
            .map(|(index, value)| {
                let note = Note::new(Pitch::from_name("D4").unwrap());
                let event = Event::new(EventId(index as u32), onset, *value, vec![note]);
                onset = event.end();
                event
            })
            .collect();
        let told = ends(&events.iter().collect::<Vec<_>>());
        let expected =
            [(true, false), (false, false), (false, true), (true, false), (false, true), (false, false)];
        assert_eq!(told, expected);
    }
}
