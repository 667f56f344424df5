//! How many marks of the bowing differ between two versions of the same notes, and at which notes.

use std::collections::{BTreeMap, BTreeSet};

use crate::score::{Event, EventId, Score, Shared, Slur, SlurId};

/// How many marks of the bowing differ between two versions of the same notes: bow marks, retakes,
/// hooks, stroke types, new slurs, and for each old slur the places at which it is undone. A slur cut
/// in two has one, a slur that is gone one less than it had notes.
pub fn marks_changed(before: &Score, after: &Score) -> usize {
    let marks = changed_events(before, after).map(|(a, b)| {
        usize::from(a.bow != b.bow)
            + usize::from(a.retake != b.retake)
            + usize::from(a.same_bow != b.same_bow)
            + usize::from(a.stroke != b.stroke)
    });
    slurs_changed(before, after) + marks.sum::<usize>()
}

/// New slurs, and places at which old ones are undone.
fn slurs_changed(before: &Score, after: &Score) -> usize {
    let changed = changed_slurs(before, after);
    let joined: Vec<BTreeSet<EventId>> =
        changed.iter().filter_map(|(old, _)| Some(joins(before, (*old)?))).collect();
    let joins_now: Vec<BTreeSet<EventId>> =
        changed.iter().filter_map(|(_, new)| Some(joins(after, (*new)?))).collect();
    let old: BTreeSet<EventId> = joined.into_iter().flatten().collect();
    let new = joins_now.iter().filter(|joins| !joins.is_subset(&old)).count();
    let now: BTreeSet<EventId> = joins_now.into_iter().flatten().collect();
    new + old.difference(&now).count()
}

/// The written notes that a slur joins to the one before them.
fn joins(score: &Score, slur: Slur) -> BTreeSet<EventId> {
    let place = |id: EventId| score.events.iter().position(|event| event.id == id);
    let (Some(from), Some(to)) = (place(slur.from), place(slur.to)) else { return BTreeSet::new() };
    let voice = score.events[from].voice;
    let notes = score.events.get(from + 1..=to).unwrap_or_default();
    notes.iter().filter(|event| event.voice == voice && !event.is_rest()).map(|event| event.id).collect()
}

/// The written notes at which marks of the bowing differ, for pointing at them: those with other
/// marks, and both ends of every slur that is new, gone or moved.
pub fn notes_with_changed_marks(before: &Score, after: &Score) -> BTreeSet<EventId> {
    let marks = changed_events(before, after)
        .filter(|(a, b)| (a.bow, a.retake, a.same_bow, a.stroke) != (b.bow, b.retake, b.same_bow, b.stroke))
        .map(|(event, _)| event.id);
    let slurs = changed_slurs(before, after);
    let ends = slurs.iter().flat_map(|(a, b)| [a, b]).flatten().flat_map(|slur| [slur.from, slur.to]);
    marks.chain(ends).collect()
}

/// The slurs of the bowing.
pub(super) fn slurs(score: &Score) -> BTreeMap<SlurId, Slur> {
    score.slurs.iter().filter(|slur| !slur.phrase).map(|slur| (slur.id, *slur)).collect()
}

/// The slurs that differ, as they were and as they are.
fn changed_slurs(before: &Score, after: &Score) -> Vec<(Option<Slur>, Option<Slur>)> {
    let (old, new) = (slurs(before), slurs(after));
    let ids: BTreeSet<SlurId> = old.keys().chain(new.keys()).copied().collect();
    let pairs = ids.iter().map(|id| (old.get(id).copied(), new.get(id).copied()));
    pairs.filter(|(a, b)| a != b).collect()
}

/// Notes that are in both versions and differ.
fn changed_events<'a>(before: &'a Score, after: &'a Score) -> impl Iterator<Item = (&'a Event, &'a Event)> {
    let events: BTreeMap<EventId, &Shared<Event>> =
        before.events.iter().map(|event| (event.id, event)).collect();
    let pairs = after.events.iter().filter_map(move |event| Some((*events.get(&event.id)?, event)));
    pairs.filter(|(a, b)| a != b).map(|(a, b)| (&**a, &**b))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Lesson, Writer, change, demo::demo},
        score::{NoteValue, TimeSignature},
        setup::Family,
    };

    #[test]
    fn the_same_bowing_has_no_changed_marks_and_a_split_has_some() {
        let lesson = demo();
        assert_eq!(marks_changed(&lesson.score, &lesson.score), 0);
        let slur = lesson.score.slurs.last().expect("the demo has slurs");
        let (next, _) = change::split_slur(&lesson, slur.to).unwrap().apply(&lesson).unwrap();
        assert!(marks_changed(&lesson.score, &next.score) >= 1);
        assert!(notes_with_changed_marks(&lesson.score, &lesson.score).is_empty());
        assert!(notes_with_changed_marks(&lesson.score, &next.score).contains(&slur.to));
    }

    /// A slur over six notes cut in the middle, cut into single notes but the first two, and lost.
    #[test]
    fn an_undone_slur_counts_by_its_places() {
        let violin = Writer::new(change::new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0));
        let quarters = (0..6).fold(violin, |writer, _| writer.note("A4", NoteValue::QUARTER));
        let (lesson, ids) = quarters.finish().expect("it can be written");
        let slurred = |lesson: &Lesson, notes: &[EventId], on: bool| {
            let edit = change::set_slur(lesson, notes, on).expect("a slur");
            edit.apply(lesson).expect("set").0
        };
        let six = slurred(&lesson, &ids, true);
        let halves = change::split_slur(&six, ids[3]).and_then(|edit| edit.apply(&six)).expect("cut").0;
        let two = slurred(&lesson, &ids[..2], true);
        let counts = [&halves, &two, &lesson].map(|after| marks_changed(&six.score, &after.score));
        assert_eq!(counts, [1, 4, 5]);
        assert_eq!(marks_changed(&lesson.score, &six.score), 1);
        assert_eq!(marks_changed(&lesson.score, &halves.score), 2);
    }
}
