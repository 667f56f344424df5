//! What every lesson promises, and the constructor that sees to it.

use std::collections::BTreeSet;

use crate::score::{EventId, figure, ids_fault};

use super::Lesson;

/// What contradicts what in a lesson, or is out of all bounds.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct LessonError(String);

impl Lesson {
    /// The lesson in order, if it keeps what every lesson promises: a set-up that a plan can be made
    /// of, a score as [`Score::checked`](crate::score::Score::checked) promises it, places on the bow
    /// that are on notes and on the hair, a handout of which pages
    /// can be made. What was fixed on notes that are not there is let go.
    ///
    /// # Errors
    /// With the first thing that is wrong, in words.
    pub fn checked(mut self) -> Result<Self, LessonError> {
        if let Some(problem) = self.setup.problems().into_iter().next() {
            return Err(LessonError(problem));
        }
        self.score = self.score.checked().map_err(|error| LessonError(error.to_string()))?;
        if let Some(problem) = self.handout.problem() {
            return Err(LessonError(problem));
        }
        self.pins.sort_by_key(|pin| pin.id);
        if let Some(fault) =
            ids_fault("places on the bow", self.pins.iter().map(|pin| pin.id.0)).or_else(|| of_pins(&self))
        {
            return Err(LessonError(fault));
        }
        self.forget_lost_notes();
        Ok(self)
    }
}

fn of_pins(lesson: &Lesson) -> Option<String> {
    let ids: BTreeSet<EventId> = lesson.score.events.iter().map(|event| event.id).collect();
    let inside = |share: f64| (0.0..=1.0).contains(&share);
    let pin = lesson
        .pins
        .iter()
        .find(|pin| !ids.contains(&pin.event) || !inside(pin.from_share) || !inside(pin.to_share))?;
    let id = pin.id.0;
    Some(if ids.contains(&pin.event) {
        let (from, to) = (figure(pin.from_share), figure(pin.to_share));
        format!("the place on the bow {id} goes from {from} to {to} of the hair; it must lie between 0 and 1")
    } else {
        format!("the place on the bow {id} is not on a note")
    })
}
