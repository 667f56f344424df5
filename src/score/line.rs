//! The music as one bow plays it, with its time and its dynamics.

use std::{collections::BTreeSet, ops::Range};

use super::{
    Attack, Dynamics, EventId, Quarters, Score, TempoMap, attacks, bow_line, bow_words::give_manners,
};

/// What one bow plays of a score.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// The attacks in order, plucked notes included.
    pub notes: Vec<Attack>,
    /// Attacks of other voices that one bow does not play.
    pub left_out: usize,
    /// How loud.
    pub dynamics: Dynamics,
    /// The marked tempo.
    pub tempo: TempoMap,
    /// For each bar its section ([`Score::bar_sections`]).
    pub sections: Vec<usize>,
    /// Where the score ends.
    pub end: Quarters,
    /// Every written event of the line with its attack, in the order of the ids.
    of_event: Vec<(EventId, usize)>,
    /// Every event of the score with its place there, in the order of the ids.
    events: Vec<(EventId, usize)>,
}

impl Line {
    /// Reads the line of a score.
    pub fn new(score: &Score) -> Self {
        let all = attacks(score);
        let (mut notes, left_out) = bow_line(&all);
        let sections = score.bar_sections();
        give_manners(score, &sections, &mut notes);
        let events = |(index, note): (usize, &Attack)| {
            note.events.iter().map(move |&id| (id, index)).collect::<Vec<_>>()
        };
        let mut of_event: Vec<(EventId, usize)> = notes.iter().enumerate().flat_map(events).collect();
        of_event.sort_unstable();
        let mut events: Vec<_> = score.events.iter().enumerate().map(|(at, event)| (event.id, at)).collect();
        events.sort_unstable();
        Self {
            notes,
            left_out: left_out.len(),
            dynamics: Dynamics::new(score),
            tempo: score.tempo_map(),
            sections,
            end: score.end(),
            of_event,
            events,
        }
    }

    /// The attacks that begin from `from` on and before `to`, as indices.
    pub fn between(&self, from: Quarters, to: Quarters) -> Range<usize> {
        let place = |at: Quarters| self.notes.partition_point(|note| note.onset < at);
        place(from)..place(to.max(from))
    }

    /// The attack that holds a written event, as an index.
    pub fn note_of(&self, event: EventId) -> Option<usize> {
        found(&self.of_event, event)
    }

    /// The attacks that hold some written events, in order, each once.
    pub fn notes_of(&self, events: &BTreeSet<EventId>) -> Vec<usize> {
        let mut notes = all_found(&self.of_event, events);
        notes.dedup();
        notes
    }

    /// Some written events, as indices into the events of the score, in order.
    pub fn event_indices(&self, events: &BTreeSet<EventId>) -> Vec<usize> {
        all_found(&self.events, events)
    }

    /// A written event, as an index into the events of the score.
    pub fn event_index(&self, event: EventId) -> Option<usize> {
        found(&self.events, event)
    }
}

/// So many events or more are looked for in one walk over all. Assumed.
const MANY: usize = 64;

/// What belongs to some events, in order, of pairs in the order of the ids.
fn all_found(pairs: &[(EventId, usize)], events: &BTreeSet<EventId>) -> Vec<usize> {
    let mut places: Vec<usize> = if events.len() < MANY {
        events.iter().filter_map(|event| found(pairs, *event)).collect()
    } else {
        let mut wanted = events.iter().peekable();
        let mut is_wanted = |id: EventId| {
            while wanted.next_if(|next| **next < id).is_some() {}
            wanted.peek().is_some_and(|next| **next == id)
        };
        pairs.iter().filter(|(id, _)| is_wanted(*id)).map(|(_, index)| *index).collect()
    };
    places.sort_unstable();
    places
}

/// What belongs to an event, of pairs in the order of the ids.
fn found(pairs: &[(EventId, usize)], event: EventId) -> Option<usize> {
    let index = pairs.binary_search_by_key(&event, |(id, _)| *id).ok()?;
    Some(pairs[index].1)
}
