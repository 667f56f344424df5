//! The same change at every place of a finding, as one change.

use std::collections::BTreeSet;

use crate::{
    analysis::{Analysis, Study},
    bowing::Finding,
    lesson::Edit,
    score::{EventId, Quarters},
};

use super::{case::passage, correction::Correction, trial::Trial};

/// The change of a trial at all places of its finding where the same can be made. None where it
/// can be made at the first place only.
///
/// The same note of every stroke is meant, counted from its start, and the same direction as seen
/// from the direction of the stroke. A turn of the whole bowing and a tempo are not for one place.
pub(super) fn everywhere(study: &Study, finding: &Finding, trial: &Trial) -> Option<Trial> {
    let (lesson, analysis) = (study.lesson(), study.analysis());
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
        let corrections: Option<Vec<Correction>> =
            trial.corrections.iter().map(|correction| road.moved(correction)).collect();
        let Some(corrections) = corrections.filter(|all| !all.iter().any(|one| one.is_settled(lesson)))
        else {
            continue;
        };
        let made = corrections.iter().try_fold(next.clone(), |lesson, correction| correction.made(&lesson));
        if let Ok(made) = made
            && made != next
        {
            next = made;
            more += 1;
        }
    }
    let words = match more {
        0 => return None,
        1 => format!("{}; the same at 1 more place", trial.words),
        more => format!("{}; the same at {more} more places", trial.words),
    };
    let edit = Edit::between(words.clone(), lesson, &next);
    let (change, and) = (trial.change, trial.and);
    Some(Trial { change, and, words, edit, everywhere: true, corrections: Vec::new() })
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
    fn moved(&self, correction: &Correction) -> Option<Correction> {
        use Correction::*;
        let strokes = &self.analysis.strokes;
        let turned = strokes[self.from].direction != strokes[self.to].direction;
        Some(match correction {
            NewBow(id) => NewBow(self.event(*id)?),
            Slur(from, to) => Slur(self.event(*from)?, self.event(*to)?),
            Join(id, how) => Join(self.event(*id)?, *how),
            Retake(id, direction) => {
                Retake(self.event(*id)?, if turned { direction.turned() } else { *direction })
            }
            NoRetake(id) => NoRetake(self.event(*id)?),
            NoMark(id) => NoMark(self.event(*id)?),
            Stroke(_, stroke) => {
                let Analysis { line, bowed, strokes, .. } = self.analysis;
                let notes = passage(self.analysis, strokes[self.to].notes.start);
                Stroke(notes.map(|k| line[bowed[k].note].id()).collect(), *stroke)
            }
            Place(id, share) if !turned || share.is_none() => Place(self.event(*id)?, *share),
            Speed(ids, factor) => {
                Speed(ids.iter().map(|id| self.event(*id)).collect::<Option<_>>()?, *factor)
            }
            Louder(steps, from, until) if (*from, *until) == self.span(self.from) => {
                let (from, until) = self.span(self.to);
                Louder(*steps, from, until)
            }
            Place(..) | Untie(_) | Inside(..) | Louder(..) | Turn(..) | Tempo(_) => return None,
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
