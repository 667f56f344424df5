//! Edits: every change as a value, with its inverse.

use std::collections::BTreeSet;

use crate::{
    score::{Bar, Event, EventId, MOST_NOTES, Score, Shared, Sign, SignId, Slur, SlurId, sentence_case},
    setup::Setup,
};

use super::{
    Lesson, Pencilled, Pin, PinId, Silenced, Spoken,
    handout::Handout,
    pieces::{Pieces, differences, same},
};

/// One change of a [`Lesson`].
///
/// Each variant says what one piece of the lesson is to be (`None`: gone). Applying it gives the
/// next lesson and the edit that undoes it, which has the same shape. The functions beside
/// [`Edit`] build edits from what a person wants ("slur these", "retake here").
#[derive(Clone, Debug, PartialEq)]
pub enum Edit {
    /// Several changes as one step, with the words shown for it ("Slur three notes").
    Step {
        /// Words for undo and for remedies.
        what: String,
        /// The changes, in order.
        edits: Vec<Edit>,
    },
    /// Title of the piece.
    Title(String),
    /// Name of the part.
    Part(String),
    /// All bars.
    Bars(Shared<Vec<Bar>>),
    /// One note, chord or rest.
    Event(EventId, Option<Shared<Event>>),
    /// One slur.
    Slur(SlurId, Option<Slur>),
    /// One sign.
    Sign(SignId, Option<Sign>),
    /// One pin.
    Pin(PinId, Option<Pin>),
    /// The set-up.
    Setup(Box<Setup>),
    /// All silenced findings.
    Silenced(Vec<Silenced>),
    /// All pencil marks rubbed out or written otherwise.
    Pencilled(Vec<Pencilled>),
    /// All sentences said otherwise or left out.
    Spoken(Vec<Spoken>),
    /// All notes whose bowing is settled.
    Kept(BTreeSet<EventId>),
    /// What the pupil takes home.
    Handout(Shared<Handout>),
}

/// Why an edit cannot be made. Nothing is changed then.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("{0}")]
pub struct EditError(pub String);

impl Edit {
    /// Words for the step; the kind of piece for a single change.
    pub fn what(&self) -> &str {
        match self {
            Self::Step { what, .. } => what,
            Self::Title(_) | Self::Part(_) => "Name",
            Self::Bars(_) => "Bars",
            Self::Event(..) => "Note",
            Self::Slur(..) => "Slur",
            Self::Sign(..) => "Sign",
            Self::Pin(..) => "Place on the bow",
            Self::Setup(_) => "Set-up",
            Self::Silenced(_) => "Silence a finding",
            Self::Pencilled(_) => "Pencil mark",
            Self::Spoken(_) => "Words",
            Self::Kept(_) => "Settled bowing",
            Self::Handout(_) => "Handout",
        }
    }

    /// The edit that turns `old` into `new`, as one step.
    pub fn between(what: impl Into<String>, old: &Lesson, new: &Lesson) -> Self {
        // Both are taken apart whole: a part that is added to a lesson has to be compared here.
        // Where it was read from stays.
        let Lesson { score, setup, pins, silenced, pencilled, spoken, kept, source: _, handout } = new;
        let Score { title, part, bars, events, slurs, signs } = score;
        let mut edits = Vec::new();
        if old.score.title != *title {
            edits.push(Self::Title(title.clone()));
        }
        if old.score.part != *part {
            edits.push(Self::Part(part.clone()));
        }
        if old.score.bars != *bars {
            edits.push(Self::Bars(bars.clone()));
        }
        if old.setup != *setup {
            edits.push(Self::Setup(Box::new(setup.clone())));
        }
        if old.silenced != *silenced {
            edits.push(Self::Silenced(silenced.clone()));
        }
        if old.pencilled != *pencilled {
            edits.push(Self::Pencilled(pencilled.clone()));
        }
        if old.spoken != *spoken {
            edits.push(Self::Spoken(spoken.clone()));
        }
        if old.kept != *kept {
            edits.push(Self::Kept(kept.clone()));
        }
        if old.handout != *handout {
            edits.push(Self::Handout(handout.clone()));
        }
        edits.extend(differences(&old.score.events, events, |event| event.id, Self::Event));
        edits.extend(differences(&old.score.slurs, slurs, |slur| slur.id, Self::Slur));
        edits.extend(differences(&old.score.signs, signs, |sign| sign.id, Self::Sign));
        edits.extend(differences(&old.pins, pins, |pin| pin.id, Self::Pin));
        Self::Step { what: what.into(), edits }
    }

    /// What it changes is alike in both lessons, so that it means the same in either.
    pub fn meets(&self, one: &Lesson, other: &Lesson) -> bool {
        let mut pieces = Pieces::default();
        let whole_alike = |edit: &Self| {
            let (a, b) = (&one.score, &other.score);
            match edit {
                Self::Title(_) => a.title == b.title,
                Self::Part(_) => a.part == b.part,
                Self::Bars(_) => a.bars == b.bars,
                Self::Setup(_) => one.setup == other.setup,
                Self::Silenced(_) => one.silenced == other.silenced,
                Self::Pencilled(_) => one.pencilled == other.pencilled,
                Self::Spoken(_) => one.spoken == other.spoken,
                Self::Kept(_) => one.kept == other.kept,
                Self::Handout(_) => one.handout == other.handout,
                Self::Step { .. } | Self::Event(..) | Self::Slur(..) | Self::Sign(..) | Self::Pin(..) => true,
            }
        };
        let mut alike = true;
        self.each(&mut |edit| {
            pieces.take(edit);
            alike &= whole_alike(edit);
        });
        pieces.settle();
        alike
            && same(&one.score.events, &other.score.events, &pieces.events, |event| event.id)
            && same(&one.score.slurs, &other.score.slurs, &pieces.slurs, |slur| slur.id)
            && same(&one.score.signs, &other.score.signs, &pieces.signs, |sign| sign.id)
            && same(&one.pins, &other.pins, &pieces.pins, |pin| pin.id)
    }

    /// True when it changes nothing.
    pub fn is_empty(&self) -> bool {
        matches!(self, Self::Step { edits, .. } if edits.iter().all(Self::is_empty))
    }

    /// The next lesson, and the edit that leads back. It takes time for the length of the music and of the edit,
    /// not for their product; what is not changed the lessons share.
    ///
    /// # Errors
    /// When the set-up holds figures no plan can be made of, or the music gets too long.
    pub fn apply(&self, lesson: &Lesson) -> Result<(Lesson, Self), EditError> {
        let mut next = lesson.clone();
        let mut pieces = Pieces::default();
        let mut back = Vec::new();
        let mut refused = None;
        self.each(&mut |edit| {
            pieces.take(edit);
            match edit.change_whole(&mut next) {
                Ok(inverse) => back.extend(inverse),
                Err(error) => refused = Some(error),
            }
        });
        if let Some(error) = refused {
            return Err(error);
        }
        pieces.settle();
        pieces.check_length(&next)?;
        pieces.put_into(&mut next, &mut back);
        if next.score.events.len() > MOST_NOTES {
            return Err(EditError(format!("The part would have more than {MOST_NOTES} notes and rests")));
        }
        back.reverse();
        let inverse = match (self, back.pop()) {
            (Self::Step { what, .. }, last) => {
                back.extend(last);
                Self::Step { what: what.clone(), edits: back }
            }
            (_, Some(inverse)) => inverse,
            (_, None) => self.clone(),
        };
        Ok((next, inverse))
    }

    /// Calls for itself, or for every edit of its steps, in order.
    fn each<'a>(&'a self, call: &mut impl FnMut(&'a Self)) {
        match self {
            Self::Step { edits, .. } => edits.iter().for_each(|edit| edit.each(call)),
            edit => call(edit),
        }
    }

    /// Changes what it replaces as a whole, if it does; gives the edit that leads back.
    fn change_whole(&self, lesson: &mut Lesson) -> Result<Option<Self>, EditError> {
        fn swap<T: Clone>(here: &mut T, new: &T) -> T {
            std::mem::replace(here, new.clone())
        }
        Ok(Some(match self {
            Self::Title(title) => Self::Title(swap(&mut lesson.score.title, title)),
            Self::Part(part) => Self::Part(swap(&mut lesson.score.part, part)),
            Self::Bars(bars) => Self::Bars(swap(&mut lesson.score.bars, bars)),
            Self::Setup(setup) => {
                if let Some(problem) = setup.problems().into_iter().next() {
                    return Err(EditError(problem));
                }
                Self::Setup(Box::new(swap(&mut lesson.setup, setup)))
            }
            Self::Silenced(list) => Self::Silenced(swap(&mut lesson.silenced, list)),
            Self::Pencilled(list) => Self::Pencilled(swap(&mut lesson.pencilled, list)),
            Self::Spoken(list) => Self::Spoken(swap(&mut lesson.spoken, list)),
            Self::Kept(ids) => Self::Kept(swap(&mut lesson.kept, ids)),
            Self::Handout(handout) => {
                if let Some(problem) = handout.problem() {
                    return Err(EditError(sentence_case(&problem)));
                }
                Self::Handout(swap(&mut lesson.handout, handout))
            }
            Self::Step { .. } | Self::Event(..) | Self::Slur(..) | Self::Sign(..) | Self::Pin(..) => {
                return Ok(None);
            }
        }))
    }
}
