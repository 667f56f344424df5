//! The same change at every place of a finding, as one change.

use std::collections::BTreeSet;

use crate::{
    analysis::Analysis,
    bowing::Finding,
    lesson::{Edit, Lesson},
    score::{EventId, Quarters},
};

use super::{Trial, makers::passage, step::Step};

/// The change of a trial at all places of its finding where the same can be made. None where it
/// can be made at the first place only.
///
/// The same note of every stroke is meant, counted from its start, and the same direction as seen
/// from the direction of the stroke. A turn of the whole bowing and a tempo are not for one place.
pub(super) fn everywhere(
    lesson: &Lesson,
    analysis: &Analysis,
    finding: &Finding,
    trial: &Trial,
) -> Option<Trial> {
    let stroke = |event| stroke_of(analysis, event);
    let first = stroke(finding.event)?;
    let mut next = trial.edit.apply(lesson).ok()?.0;
    let mut done = BTreeSet::from([first]);
    let mut more = 0;
    for spot in &finding.more {
        let Some(other) = stroke(spot.event) else { continue };
        if !done.insert(other) {
            continue;
        }
        let road = Road { analysis, from: first, to: other };
        let steps: Option<Vec<Step>> = trial.steps.iter().map(|step| road.moved(step)).collect();
        let kept = |step: &Step| step.touches().iter().any(|id| lesson.kept.contains(id));
        let Some(steps) = steps.filter(|steps| !steps.iter().any(kept)) else { continue };
        let taken = steps.iter().try_fold(next.clone(), |lesson, step| step.taken(&lesson));
        if let Ok(taken) = taken
            && taken != next
        {
            next = taken;
            more += 1;
        }
    }
    let words = match more {
        0 => return None,
        1 => format!("{}; the same at 1 more place", trial.words),
        more => format!("{}; the same at {more} more places", trial.words),
    };
    let edit = Edit::between(words.clone(), lesson, &next);
    Some(Trial { change: trial.change, and: trial.and, words, edit, everywhere: true, steps: Vec::new() })
}

fn stroke_of(analysis: &Analysis, event: EventId) -> Option<usize> {
    let note = analysis.line.iter().position(|note| note.events.contains(&event))?;
    let bowed = analysis.bowed_of_note.get(note).copied().flatten()?;
    analysis.stroke_of_bowed.get(bowed).copied()
}

/// From one stroke to another that is to be changed alike.
struct Road<'a> {
    analysis: &'a Analysis,
    from: usize,
    to: usize,
}

impl Road<'_> {
    fn moved(&self, step: &Step) -> Option<Step> {
        let strokes = &self.analysis.strokes;
        let turned = strokes[self.from].direction != strokes[self.to].direction;
        Some(match step {
            Step::NewBow(id) => Step::NewBow(self.event(*id)?),
            Step::Slur(from, to) => Step::Slur(self.event(*from)?, self.event(*to)?),
            Step::Join(id, how) => Step::Join(self.event(*id)?, *how),
            Step::Retake(id, direction) => {
                Step::Retake(self.event(*id)?, if turned { direction.turned() } else { *direction })
            }
            Step::NoRetake(id) => Step::NoRetake(self.event(*id)?),
            Step::NoMark(id) => Step::NoMark(self.event(*id)?),
            Step::Stroke(_, stroke) => {
                let Analysis { line, bowed, strokes, .. } = self.analysis;
                let notes = passage(self.analysis, strokes[self.to].notes.start);
                Step::Stroke(notes.map(|k| line[bowed[k].note].id()).collect(), *stroke)
            }
            Step::Place(id, share) if !turned || share.is_none() => Step::Place(self.event(*id)?, *share),
            Step::Speed(ids, factor) => {
                Step::Speed(ids.iter().map(|id| self.event(*id)).collect::<Option<_>>()?, *factor)
            }
            Step::Louder(steps, from, until) if (*from, *until) == self.span(self.from) => {
                let (from, until) = self.span(self.to);
                Step::Louder(*steps, from, until)
            }
            Step::Place(..)
            | Step::Untie(_)
            | Step::Inside(..)
            | Step::Louder(..)
            | Step::Turn(..)
            | Step::Tempo(_) => return None,
        })
    }

    /// The note at the same place of the other stroke, or of the strokes beside it.
    fn event(&self, id: EventId) -> Option<EventId> {
        let Analysis { line, bowed, strokes, .. } = self.analysis;
        let k = bowed.iter().position(|bowed| line[bowed.note].events.contains(&id))?;
        let (here, there) = (&strokes[self.from].notes, &strokes[self.to].notes);
        let other = if k >= here.end {
            there.end + (k - here.end)
        } else {
            let other = (there.start + k).checked_sub(here.start)?;
            if other >= there.end {
                return None;
            }
            other
        };
        let beside = self.to.saturating_sub(1)..(self.to + 2).min(strokes.len());
        let near = strokes[beside.start].notes.start..strokes[beside.end - 1].notes.end;
        near.contains(&other).then(|| line[bowed[other].note].id())
    }

    fn span(&self, stroke: usize) -> (Quarters, Quarters) {
        let Analysis { line, bowed, strokes, .. } = self.analysis;
        let notes = &strokes[stroke].notes;
        (line[bowed[notes.start].note].onset, line[bowed[notes.end - 1].note].end())
    }
}
