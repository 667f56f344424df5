//! The notes and rests of the first voice, free of bars.

use crate::score::{Event, EventId, NoteValue, Quarters, Score, Shared};

/// One note or rest of the first voice with its ties joined, free of bars.
pub(super) struct Item {
    /// The written events, in order; the first carries the marks.
    pub events: Vec<Shared<Event>>,
    /// How long it lasts; zero for grace notes.
    pub length: Quarters,
    /// Time between the item before and this one; zero except in scores that leave rests out.
    pub gap: Quarters,
    /// Where it was and how long; none for a new one.
    pub was: Option<(Quarters, Quarters)>,
    /// It has to be written anew even where it keeps its place.
    pub rewrite: bool,
}

impl Item {
    /// A note or rest that was not there before.
    pub fn new(event: Event) -> Self {
        Self::of(vec![event.into()])
    }

    /// A note that was not there before, as tied events.
    pub fn of(events: Vec<Shared<Event>>) -> Self {
        let length = events.iter().map(|event| event.duration).sum();
        Self { length, events, gap: Quarters::ZERO, was: None, rewrite: true }
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
        head.marks.extend(tail.into_iter().flat_map(|event| event.own().marks));
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
            let mut rest =
                Event { onset: at, bow: None, retake: false, same_bow: None, ..Event::clone(before) };
            rest.id = free;
            rest.marks.clear();
            rest.notes.iter_mut().for_each(|note| {
                note.tie_stop = true;
                note.fingers.clear();
            });
            before.notes.iter_mut().for_each(|note| note.tie_start = true);
            second.insert(0, rest.into());
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
