//! The music around the chosen notes: a search in it costs what the passage is long, not the part.

use std::{collections::BTreeSet, ops::Range};

use crate::{analysis::Study, score::EventId};

use super::choice::{Choice, Choices};

/// Strokes of the part that go with the chosen notes on either side: farther away the plan hardly
/// changes. Assumed.
pub(super) const AROUND: usize = 24;
/// An excerpt is worth it when it has at most this share of the strokes. Assumed.
const WORTH: f64 = 0.5;

/// A stretch of a part as a lesson of its own.
pub(super) struct Excerpt {
    pub study: Study,
    /// Bowed notes of the part that are in it.
    notes: Range<usize>,
}

impl Excerpt {
    /// The chosen notes and so many strokes on either side. None where that is most of the part, or
    /// where the stretch is not bowed alone as it is in the part.
    pub fn of(study: &Study, chosen: &BTreeSet<EventId>, around: usize) -> Option<Self> {
        let analysis = study.analysis();
        let strokes = &analysis.bowing.strokes;
        let all = 0..analysis.bowing.notes.len();
        let is_chosen = |k: &usize| analysis.note(*k).events.iter().any(|id| chosen.contains(id));
        let first = all.clone().find(is_chosen)?;
        let last = all.rev().find(is_chosen)?;
        let from = analysis.stroke_of(first).saturating_sub(around);
        let to = (analysis.stroke_of(last) + around + 1).min(strokes.len());
        if (to - from) as f64 > WORTH * strokes.len() as f64 {
            return None;
        }
        let notes = strokes[from].notes.start..strokes[to - 1].notes.end;
        let head = analysis.note(notes.start);
        let (start, end) = (head.onset, analysis.note(notes.end - 1).end());
        let mut part = study.lesson().clone();
        part.score.events.retain(|event| event.onset >= start && event.onset < end);
        // What comes behind it; what comes before says how loud and how fast it is.
        part.score.bars.retain(|bar| bar.start < end);
        part.score.signs.retain(|sign| sign.at < end);
        let there: BTreeSet<EventId> = part.score.events.iter().map(|event| event.id).collect();
        part.score.slurs.retain(|slur| there.contains(&slur.from) && there.contains(&slur.to));
        part.forget_lost_notes();
        // It goes on in the direction it has in the part.
        let opening = part.score.events.iter_mut().find(|event| event.id == head.id())?;
        opening.bow = Some(strokes[from].direction);
        let part = Study::new(part);
        let of_part = part.analysis();
        let same = of_part.bowing.notes.len() == notes.len()
            && notes.clone().enumerate().all(|(there, k)| {
                let (now, bowed) = (analysis.bowed(k), of_part.bowed(there));
                analysis.note(k).events == of_part.note(there).events
                    && now.direction == bowed.direction
                    && (k == notes.start || now.reached == bowed.reached)
            });
        same.then_some(Self { study: part, notes })
    }

    /// The bowing of the part with these notes bowed as in a bowing of the excerpt.
    pub fn in_part(&self, present: &[Choice], bowing: &[Choice]) -> Choices {
        let mut all = present.to_vec();
        // How its first note is reached, the excerpt does not know.
        all[self.notes.start + 1..self.notes.end].copy_from_slice(&bowing[1..]);
        all
    }
}
