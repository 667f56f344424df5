//! The music around the chosen notes: a search in it costs what the passage is long, not the part.

use std::{collections::BTreeSet, ops::Range};

use crate::{
    analysis::{Analysis, Study},
    score::EventId,
};

use super::choice::{Choice, Choices};

/// Strokes of the part that go with the chosen notes on either side: farther away the plan hardly
/// changes. Assumed.
pub(super) const AROUND: usize = 32;
/// An excerpt is worth it when it has at most this share of the strokes. Assumed.
const WORTH: f64 = 0.5;

/// A stretch of a part as a lesson of its own.
pub(super) struct Excerpt {
    pub study: Study,
    /// Bowed notes of the part that are in it.
    notes: Range<usize>,
    /// Bowed notes of the part from the first chosen one to the last.
    chosen: Range<usize>,
}

impl Excerpt {
    /// The chosen notes and so many strokes on either side. None where that is most of the part, or
    /// where the stretch is not bowed alone as it is in the part.
    pub fn of(study: &Study, chosen: &BTreeSet<EventId>, around: usize) -> Option<Self> {
        let analysis = study.analysis();
        let Analysis { line, bowed, strokes, stroke_of_bowed, .. } = analysis;
        let is_chosen = |k: &usize| line[bowed[*k].note].events.iter().any(|id| chosen.contains(id));
        let first = (0..bowed.len()).find(is_chosen)?;
        let last = (0..bowed.len()).rev().find(is_chosen)?;
        let from = stroke_of_bowed[first].saturating_sub(around);
        let to = (stroke_of_bowed[last] + around + 1).min(strokes.len());
        if (to - from) as f64 > WORTH * strokes.len() as f64 {
            return None;
        }
        let notes = strokes[from].notes.start..strokes[to - 1].notes.end;
        let head = &line[bowed[notes.start].note];
        let (start, end) = (head.onset, line[bowed[notes.end - 1].note].end());
        let mut part = study.lesson().clone();
        part.score.events.retain(|event| event.onset >= start && event.onset < end);
        let there: BTreeSet<EventId> = part.score.events.iter().map(|event| event.id).collect();
        part.score.slurs.retain(|slur| there.contains(&slur.from) && there.contains(&slur.to));
        part.forget_lost_notes();
        // It goes on in the direction it has in the part.
        let opening = part.score.events.iter_mut().find(|event| event.id == head.id())?;
        opening.bow = Some(strokes[from].direction);
        let part = Study::new(part);
        let of_part = part.analysis();
        let same = of_part.bowed.len() == notes.len()
            && notes.clone().zip(&of_part.bowed).all(|(k, bowed)| {
                let now = &analysis.bowed[k];
                line[now.note].events == of_part.line[bowed.note].events
                    && now.direction == bowed.direction
                    && (k == notes.start || now.reached == bowed.reached)
            });
        same.then(|| Self { study: part, notes, chosen: first..last + 1 })
    }

    /// The bowing of the part with the chosen notes bowed as in a bowing of the excerpt.
    pub fn in_part(&self, present: &[Choice], bowing: &[Choice]) -> Choices {
        let mut all = present.to_vec();
        for k in self.chosen.clone() {
            all[k] = bowing[k - self.notes.start];
        }
        all
    }
}
