//! Tremolos between two notes.

use std::collections::BTreeMap;

use super::{Quarters, Score};

/// Two notes or chords of a voice, one after the other, that are played in turns until the end of the second.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Between {
    /// Places of the two among the events.
    pub from: usize,
    /// The second of them.
    pub to: usize,
    /// Strokes between them besides the beams.
    pub strokes: u8,
}

impl Score {
    /// The tremolos between two notes, in order. A note that no other follows at once begins none.
    pub fn tremolos_between(&self) -> Vec<Between> {
        let mut open: BTreeMap<u8, (usize, u8, Quarters)> = BTreeMap::new();
        let mut found = Vec::new();
        for (to, event) in self.events.iter().enumerate().filter(|(_, event)| event.grace.is_none()) {
            if let Some((from, strokes, end)) = open.remove(&event.voice) {
                if end == event.onset && !event.is_rest() {
                    found.push(Between { from, to, strokes });
                }
                // The second note begins none of its own.
                continue;
            }
            if let Some(strokes) = event.tremolo_to_next.filter(|_| !event.is_rest()) {
                open.insert(event.voice, (to, strokes, event.end()));
            }
        }
        found.sort_unstable_by_key(|between| between.from);
        found
    }
}
