//! Music written note after note by a program, in one chain of calls: the demo, examples, tests.

use crate::score::{Direction, EventId, Mark, NoteValue, Pitch, Quarters, Sign, SignKind};

use super::{Edit, EditError, Lesson, change};

/// Writes notes into the first voice, one behind the other, with the edits a person has.
///
/// What cannot be done is told at the end, by [`Writer::finish`]; nothing is written after it.
///
/// ```
/// use elbowroom::{
///     lesson::{Writer, change::new_passage},
///     score::{Direction, NoteValue, TimeSignature},
///     setup::Family,
/// };
///
/// let empty = new_passage(Family::Viola, TimeSignature::new(4, 4), 0, 72.0);
/// let (lesson, notes) = Writer::new(empty)
///     .note("D4", NoteValue::HALF)
///     .bow(Direction::Down)
///     .note("G4", NoteValue::QUARTER)
///     .note("B3 G4", NoteValue::QUARTER)
///     .slur(2)
///     .finish()?;
/// assert_eq!(lesson.score.events.len(), 3);
/// assert_eq!(lesson.score.slurs[0].to, notes[2]);
/// # Ok::<(), elbowroom::lesson::EditError>(())
/// ```
#[derive(Clone, Debug)]
pub struct Writer {
    lesson: Lesson,
    /// Notes and rests in the order in which they were written.
    written: Vec<EventId>,
    failed: Option<EditError>,
}

impl Writer {
    /// Begins in a lesson without notes, such as [`change::new_passage`] makes.
    pub fn new(empty: Lesson) -> Self {
        Self { lesson: empty, written: Vec::new(), failed: None }
    }

    /// A note by its name, or notes that sound together: "D4", "D4 B4" (see [`Pitch::from_name`]).
    pub fn note(self, names: &str, value: NoteValue) -> Self {
        let pitch = |name| {
            Pitch::from_name(name).ok_or_else(|| {
                EditError(format!(
                    "\"{name}\" is no pitch; write letter, accidental and octave, as D4 or F#4"
                ))
            })
        };
        match names.split(' ').map(pitch).collect::<Result<Vec<_>, _>>() {
            Ok(pitches) => self.pitches(&pitches, value),
            Err(error) => self.edit(|_, _| Err(error)),
        }
    }

    /// Notes that sound together; none are a rest.
    pub fn pitches(mut self, pitches: &[Pitch], value: NoteValue) -> Self {
        let id = self.lesson.score.free_event_id();
        let after = self.written.last().copied();
        self.written.push(id);
        self.edit(|lesson, _| change::insert(lesson, after, value, pitches))
    }

    /// A rest.
    pub fn rest(self, value: NoteValue) -> Self {
        self.pitches(&[], value)
    }

    /// A bow mark on the last note.
    pub fn bow(self, direction: Direction) -> Self {
        self.edit(|lesson, written| change::set_bow(lesson, last(written), Some(direction)))
    }

    /// The bow is lifted and set again before the last note.
    pub fn retake(self) -> Self {
        self.edit(|lesson, written| match written {
            [.., last] => change::set_retake(lesson, *last, true),
            [] => Err(EditError("There is no note yet to set the bow on".to_owned())),
        })
    }

    /// A mark on the last note.
    pub fn mark(self, mark: Mark) -> Self {
        self.edit(|lesson, written| change::set_mark(lesson, last(written), mark, true))
    }

    /// Slurs the last `count` notes.
    pub fn slur(self, count: usize) -> Self {
        self.edit(|lesson, written| {
            change::set_slur(lesson, &written[written.len().saturating_sub(count)..], true)
        })
    }

    /// A sign of the score, such as a dynamic or a hairpin.
    pub fn sign(self, at: Quarters, kind: SignKind) -> Self {
        self.edit(|lesson, _| {
            let mut new = lesson.clone();
            new.score.signs.push(Sign { id: lesson.score.free_sign_id(), at, kind });
            Ok(Edit::between("Sign", lesson, &new))
        })
    }

    /// Any edit, made from the lesson so far and what was written: notes and rests in their order.
    pub fn edit(mut self, edit: impl FnOnce(&Lesson, &[EventId]) -> Result<Edit, EditError>) -> Self {
        if self.failed.is_none() {
            match edit(&self.lesson, &self.written).and_then(|edit| edit.apply(&self.lesson)) {
                Ok((next, _)) => self.lesson = next,
                Err(error) => self.failed = Some(error),
            }
        }
        self
    }

    /// The lesson, and its notes and rests in the order in which they were written.
    ///
    /// # Errors
    /// The first thing that could not be written.
    pub fn finish(self) -> Result<(Lesson, Vec<EventId>), EditError> {
        match self.failed {
            None => Ok((self.lesson, self.written)),
            Some(error) => Err(error),
        }
    }
}

/// The last of some notes, or none.
fn last(written: &[EventId]) -> &[EventId] {
    &written[written.len().saturating_sub(1)..]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{lesson::change::new_passage, score::TimeSignature, setup::Family};

    fn violin() -> Writer {
        Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0))
    }

    /// A note over the barline is tied, and counts as one.
    #[test]
    fn notes_are_numbered_as_they_are_written() {
        let (lesson, written) = violin()
            .note("A4", NoteValue::HALF.dotted())
            .note("B4", NoteValue::HALF)
            .rest(NoteValue::QUARTER)
            .note("G#4", NoteValue::QUARTER)
            .finish()
            .expect("it can be written");
        let onsets: Vec<_> = written.iter().map(|id| lesson.score.event(*id).expect("there").onset).collect();
        assert_eq!(onsets, [0, 3, 5, 6].map(Quarters::from));
        assert_eq!(lesson.score.events.len(), 5);
    }

    #[test]
    fn the_first_fault_is_told_at_the_end() {
        let told = |writer: Writer| writer.finish().expect_err("it cannot be written").to_string();
        let wrong = violin()
            .note("A4", NoteValue::HALF)
            .note("H4", NoteValue::HALF)
            .slur(2)
            .note("", NoteValue::HALF);
        assert!(told(wrong).contains("\"H4\""));
        assert!(told(violin().slur(2)).contains("Select a note first"));
        assert!(told(violin().retake()).contains("no note yet"));
        assert!(told(violin().bow(Direction::Up)).contains("Select a note first"));
    }
}
