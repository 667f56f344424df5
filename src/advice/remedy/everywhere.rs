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
    let first = analysis.stroke_of_event(finding.event)?;
    let mut next = trial.edit.apply(lesson).ok()?.0;
    let mut done = BTreeSet::from([first]);
    let mut more = 0;
    for spot in &finding.more {
        let Some(other) = analysis.stroke_of_event(spot.event) else { continue };
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

/// From one stroke to another that is to be changed alike.
struct Road<'a> {
    analysis: &'a Analysis,
    from: usize,
    to: usize,
}

impl Road<'_> {
    fn moved(&self, step: &Step) -> Option<Step> {
        let strokes = &self.analysis.bowing.strokes;
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
                let notes = passage(self.analysis, strokes[self.to].notes.start);
                Step::Stroke(notes.map(|k| self.analysis.note(k).id()).collect(), *stroke)
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
        let strokes = &self.analysis.bowing.strokes;
        let k = self.analysis.bowed_of_event(id)?;
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
        near.contains(&other).then(|| self.analysis.note(other).id())
    }

    fn span(&self, stroke: usize) -> (Quarters, Quarters) {
        let notes = &self.analysis.stroke(stroke).notes;
        (self.analysis.note(notes.start).onset, self.analysis.note(notes.end - 1).end())
    }
}
