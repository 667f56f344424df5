//! The music as one bow plays it, with its time and its dynamics.

use std::ops::Range;

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

    /// A written event, as an index into the events of the score.
    pub fn event_index(&self, event: EventId) -> Option<usize> {
        found(&self.events, event)
    }
}

/// What belongs to an event, of pairs in the order of the ids.
fn found(pairs: &[(EventId, usize)], event: EventId) -> Option<usize> {
    let index = pairs.binary_search_by_key(&event, |(id, _)| *id).ok()?;
    Some(pairs[index].1)
}
