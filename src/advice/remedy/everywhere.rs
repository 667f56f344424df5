//! The same change at every place of a finding, as one change.

use std::{collections::BTreeSet, ops::Range};

use crate::{
    analysis::{Analysis, Study},
    bowing::Finding,
    lesson::{Edit, Lesson},
    score::{EventId, Quarters, count_words},
};

use super::{
    case::passage,
    correction::Correction,
    trial::{Change, Trial},
};

/// At more places, times the notes of the part, it is not tried: each change goes through the part. Assumed; such a
/// bowing is looked for by the search.
const MOST_NOTES: usize = 1_000_000;

/// The change of a trial at all places of its finding where the same can be made. None where it
/// can be made at the first place only, or the places are too many.
///
/// The same note of every stroke is meant, counted from its start, and the same direction as seen
/// from the direction of the stroke. A turn of the whole bowing and a tempo are not for one place.
pub(super) fn everywhere(study: &Study, finding: &Finding, trial: &Trial) -> Option<Trial> {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    if finding.more.len() * lesson.score.events.len() > MOST_NOTES {
        return None;
    }
    let first = analysis.stroke_of_event(finding.event).filter(|_| trial.change != Change::Turn)?;
    let mut next = trial.edit.apply(lesson).ok()?.0;
    let mut done = BTreeSet::from([first]);
    let mut faster: BTreeSet<EventId> =
        trial.corrections.iter().flat_map(Correction::faster).copied().collect();
    let mut more = 0;
    for spot in &finding.more {
        let Some(other) = analysis.stroke_of_event(spot.event) else { continue };
        if !done.insert(other) {
            continue;
        }
        let road = Road { lesson, analysis, from: first, to: other };
        let corrections: Option<Vec<Correction>> =
            trial.corrections.iter().map(|correction| road.moved(correction)).collect();
        let Some(mut corrections) = corrections.filter(|all| !all.iter().any(|one| one.is_settled(study)))
        else {
            continue;
        };
        // What lies on the way to two places is drawn faster once.
        for correction in &mut corrections {
            if let Correction::Speed(ids, _) = correction {
                ids.retain(|id| faster.insert(*id));
            }
        }
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
        1 => format!("{}; the same at one more place", trial.words),
        more => format!("{}; the same at {} more places", trial.words, count_words(more)),
    };
    let edit = Edit::between(words.clone(), lesson, &next);
    let (change, and) = (trial.change, trial.and);
    Some(Trial { change, and, words, edit, everywhere: true, places: 1 + more, corrections: Vec::new() })
}

/// From one stroke to another that is to be changed alike.
struct Road<'a> {
    lesson: &'a Lesson,
    analysis: &'a Analysis,
    from: usize,
    to: usize,
}

impl Road<'_> {
    fn moved(&self, correction: &Correction) -> Option<Correction> {
        use Correction::*;
        let strokes = &self.analysis.bowing.strokes;
        let turned = strokes[self.from].direction != strokes[self.to].direction;
        Some(match correction {
            NewBow(id) => NewBow(self.event(*id)?),
            Slur(from, to) => Slur(self.event(*from)?, self.event(*to)?),
            Join(id, how) => Join(self.event(*id)?, *how),
            Retake(id, direction) => {
                Retake(self.event(*id)?, if turned { direction.turned() } else { *direction })
            }
            NoRetake(id) => NoRetake(self.event(*id)?),
            Bow(id, direction) => Bow(self.event(*id)?, if turned { direction.turned() } else { *direction }),
            Stroke(ids, stroke) if ids.contains(&self.head(self.from)) => {
                let notes = passage(self.analysis, strokes[self.to].notes.start);
                Stroke(notes.map(|k| self.analysis.note(k).id()).collect(), *stroke)
            }
            Stroke(ids, stroke) => Stroke(self.events(ids)?, *stroke),
            Place(id, share) if !turned || share.is_none() => Place(self.event(*id)?, *share),
            Speed(ids, factor) => Speed(self.events(ids)?, *factor),
            Louder(steps, from, until) if (*from, *until) == self.span(self.from) => {
                let (from, until) = self.span(self.to);
                Louder(*steps, from, until)
            }
            Untie(id) => Untie(self.event(*id)?),
            Inside(id, at) => {
                let other = self.event(*id)?;
                Inside(other, self.onset(other)? + (*at - self.onset(*id)?))
            }
            Place(..) | Louder(..) | Tempo(_) => return None,
        })
    }

    fn head(&self, stroke: usize) -> EventId {
        self.analysis.note(self.analysis.stroke(stroke).notes.start).id()
    }

    /// Those of some notes that lead to the other stroke too, or lie in it.
    fn events(&self, ids: &[EventId]) -> Option<Vec<EventId>> {
        let events: Vec<EventId> = ids.iter().filter_map(|id| self.event(*id)).collect();
        (!events.is_empty()).then_some(events)
    }

    /// The note at the same place of the other stroke, or of a stroke as far from it. What is not beside it is the same
    /// only where it has the same rhythm.
    fn event(&self, id: EventId) -> Option<EventId> {
        let k = self.analysis.bowed_of_event(id)?;
        let stroke = self.analysis.stroke_of(k);
        let other = (self.to + stroke).checked_sub(self.from)?;
        let (here, there) =
            (&self.analysis.stroke(stroke).notes, &self.analysis.bowing.strokes.get(other)?.notes);
        let beside = stroke.abs_diff(self.from) <= 1;
        if !beside && self.rhythm(here) != self.rhythm(there) {
            return None;
        }
        let other = there.start + (k - here.start);
        let (note, other) =
            (self.analysis.note(k), self.analysis.note(there.contains(&other).then_some(other)?));
        // Within a note what is tied as late.
        let late = self.onset(id)? - note.onset;
        other.events.iter().copied().find(|&tied| self.onset(tied).is_some_and(|at| at - other.onset == late))
    }

    fn rhythm(&self, notes: &Range<usize>) -> Vec<Quarters> {
        notes.clone().map(|k| self.analysis.note(k).duration).collect()
    }

    fn onset(&self, id: EventId) -> Option<Quarters> {
        self.lesson.score.event(id).map(|event| event.onset)
    }

    fn span(&self, stroke: usize) -> (Quarters, Quarters) {
        let notes = &self.analysis.stroke(stroke).notes;
        (self.analysis.note(notes.start).onset, self.analysis.note(notes.end - 1).end())
    }
}
