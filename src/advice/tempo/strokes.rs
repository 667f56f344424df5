//! The strokes of an analysis, by their first notes. At other tempos a note may belong to another
//! stroke.

use std::collections::BTreeMap;

use crate::{
    analysis::Analysis,
    bowing::Verdict,
    score::{EventId, Quarters, Score},
};

/// The worst that is found on each stroke, by the first note of the stroke.
pub(super) type Trouble = BTreeMap<EventId, Verdict>;

/// First and last bar between two moments, as indices.
pub(super) fn bars_of(score: &Score, from: Quarters, to: Quarters) -> (usize, usize) {
    let first = score.bar_at(from).unwrap_or(0);
    let last = score.bars.partition_point(|bar| bar.start < to).saturating_sub(1);
    (first, last.max(first))
}

/// The strokes of an analysis.
pub(super) struct Strokes {
    /// The first note of the stroke of each note.
    pub head: BTreeMap<EventId, EventId>,
    /// Where the stroke of a first note starts, and its first and last bar.
    place: BTreeMap<EventId, (Quarters, (usize, usize))>,
}

impl Strokes {
    pub fn new(score: &Score, analysis: &Analysis) -> Self {
        let mut strokes = Self { head: BTreeMap::new(), place: BTreeMap::new() };
        for stroke in &analysis.bowing.strokes {
            let note = |k: usize| analysis.note(k);
            let (first, last) = (note(stroke.notes.start), note(stroke.notes.end - 1));
            let bars = bars_of(score, first.onset, last.end());
            strokes.place.insert(first.id(), (first.onset, bars));
            for k in stroke.notes.clone() {
                strokes.head.extend(note(k).events.iter().map(|event| (*event, first.id())));
            }
        }
        strokes
    }

    /// Where a stroke starts, and its first and last bar.
    pub fn at(&self, head: EventId) -> (Quarters, (usize, usize)) {
        self.place.get(&head).copied().unwrap_or((Quarters::ZERO, (0, 0)))
    }

    /// The worst on each stroke of an analysis at another tempo.
    pub fn trouble(&self, analysis: &Analysis) -> Trouble {
        let mut trouble = Trouble::new();
        for finding in analysis.findings.told.iter().filter(|finding| finding.verdict < Verdict::Notice) {
            for head in finding.events().filter_map(|event| self.head.get(&event)) {
                let worst = trouble.entry(*head).or_insert(finding.verdict);
                *worst = finding.verdict.min(*worst);
            }
        }
        trouble
    }
}
