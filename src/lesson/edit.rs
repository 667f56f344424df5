//! Edits: every change as a value, with its inverse.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    score::{Bar, Event, EventId, LONGEST, Quarters, Score, Sign, SignId, Slur, SlurId},
    setup::Setup,
};

use super::{Lesson, Pencilled, Pin, PinId, Silenced};

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
    Bars(Vec<Bar>),
    /// One note, chord or rest.
    Event(EventId, Option<Box<Event>>),
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
    /// All notes whose bowing is settled.
    Kept(BTreeSet<EventId>),
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
            Self::Kept(_) => "Settled bowing",
        }
    }

    /// The edit that turns `old` into `new`, as one step.
    pub fn between(what: impl Into<String>, old: &Lesson, new: &Lesson) -> Self {
        // Both are taken apart whole: a part that is added to a lesson has to be compared here.
        // Where it was read from stays.
        let Lesson { score, setup, pins, silenced, pencilled, kept, source: _ } = new;
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
        if old.kept != *kept {
            edits.push(Self::Kept(kept.clone()));
        }
        let event = |id, event: Option<Event>| Self::Event(id, event.map(Box::new));
        edits.extend(differences(&old.score.events, events, |event| event.id, event));
        edits.extend(differences(&old.score.slurs, slurs, |slur| slur.id, Self::Slur));
        edits.extend(differences(&old.score.signs, signs, |sign| sign.id, Self::Sign));
        edits.extend(differences(&old.pins, pins, |pin| pin.id, Self::Pin));
        Self::Step { what: what.into(), edits }
    }

    /// What it changes is alike in both lessons, so that it means the same in either.
    pub fn meets(&self, one: &Lesson, other: &Lesson) -> bool {
        fn same<T: PartialEq>(one: &[T], other: &[T], is_it: impl Fn(&&T) -> bool) -> bool {
            one.iter().find(&is_it) == other.iter().find(&is_it)
        }
        let (a, b) = (&one.score, &other.score);
        match self {
            Self::Step { edits, .. } => edits.iter().all(|edit| edit.meets(one, other)),
            Self::Title(_) => a.title == b.title,
            Self::Part(_) => a.part == b.part,
            Self::Bars(_) => a.bars == b.bars,
            Self::Setup(_) => one.setup == other.setup,
            Self::Silenced(_) => one.silenced == other.silenced,
            Self::Pencilled(_) => one.pencilled == other.pencilled,
            Self::Kept(_) => one.kept == other.kept,
            Self::Event(id, _) => same(&a.events, &b.events, |event| event.id == *id),
            Self::Slur(id, _) => same(&a.slurs, &b.slurs, |slur| slur.id == *id),
            Self::Sign(id, _) => same(&a.signs, &b.signs, |sign| sign.id == *id),
            Self::Pin(id, _) => same(&one.pins, &other.pins, |pin| pin.id == *id),
        }
    }

    /// True when it changes nothing.
    pub fn is_empty(&self) -> bool {
        matches!(self, Self::Step { edits, .. } if edits.iter().all(Self::is_empty))
    }

    /// The next lesson, and the edit that leads back.
    ///
    /// # Errors
    /// When the set-up holds figures no plan can be made of, or the music gets too long.
    pub fn apply(&self, lesson: &Lesson) -> Result<(Lesson, Self), EditError> {
        let mut next = lesson.clone();
        let inverse = self.change(&mut next)?;
        if next.score.end() > Quarters::from(LONGEST) {
            return Err(EditError(format!("The music would be longer than {LONGEST} quarter notes")));
        }
        next.score.sort();
        next.pins.sort_by_key(|pin| pin.id);
        Ok((next, inverse))
    }

    fn change(&self, lesson: &mut Lesson) -> Result<Self, EditError> {
        Ok(match self {
            Self::Step { what, edits } => {
                let mut inverse = Vec::with_capacity(edits.len());
                for edit in edits {
                    inverse.push(edit.change(lesson)?);
                }
                inverse.reverse();
                Self::Step { what: what.clone(), edits: inverse }
            }
            Self::Title(title) => Self::Title(std::mem::replace(&mut lesson.score.title, title.clone())),
            Self::Part(part) => Self::Part(std::mem::replace(&mut lesson.score.part, part.clone())),
            Self::Bars(bars) => Self::Bars(std::mem::replace(&mut lesson.score.bars, bars.clone())),
            Self::Setup(setup) => {
                if let Some(problem) = setup.problems().into_iter().next() {
                    return Err(EditError(problem));
                }
                Self::Setup(Box::new(std::mem::replace(&mut lesson.setup, (**setup).clone())))
            }
            Self::Silenced(list) => Self::Silenced(std::mem::replace(&mut lesson.silenced, list.clone())),
            Self::Pencilled(list) => Self::Pencilled(std::mem::replace(&mut lesson.pencilled, list.clone())),
            Self::Kept(ids) => Self::Kept(std::mem::replace(&mut lesson.kept, ids.clone())),
            Self::Event(id, event) => {
                let new = event.as_deref().cloned();
                Self::Event(*id, put(&mut lesson.score.events, new, |e| e.id == *id).map(Box::new))
            }
            Self::Slur(id, slur) => Self::Slur(*id, put(&mut lesson.score.slurs, *slur, |s| s.id == *id)),
            Self::Sign(id, sign) => {
                Self::Sign(*id, put(&mut lesson.score.signs, sign.clone(), |s| s.id == *id))
            }
            Self::Pin(id, pin) => Self::Pin(*id, put(&mut lesson.pins, pin.clone(), |p| p.id == *id)),
        })
    }
}

/// Puts `new` in the place of the item that `is_it` finds, and gives that one back.
fn put<T>(list: &mut Vec<T>, new: Option<T>, is_it: impl Fn(&T) -> bool) -> Option<T> {
    match (list.iter().position(is_it), new) {
        (Some(index), Some(new)) => Some(std::mem::replace(&mut list[index], new)),
        (Some(index), None) => Some(list.remove(index)),
        (None, Some(new)) => {
            list.push(new);
            None
        }
        (None, None) => None,
    }
}

/// An edit for every id whose item differs between the lists.
fn differences<T: Clone + PartialEq, K: Ord + Copy>(
    old: &[T],
    new: &[T],
    id: impl Fn(&T) -> K,
    edit: impl Fn(K, Option<T>) -> Edit,
) -> Vec<Edit> {
    let index = |list: &[T]| -> BTreeMap<K, usize> {
        list.iter().enumerate().map(|(index, item)| (id(item), index)).collect()
    };
    let (old_at, new_at) = (index(old), index(new));
    let gone = old_at.keys().filter(|key| !new_at.contains_key(key)).map(|key| edit(*key, None));
    let differs = |(key, at): &(&K, &usize)| old_at.get(key).is_none_or(|&before| old[before] != new[**at]);
    let changed = new_at.iter().filter(differs).map(|(key, at)| edit(*key, Some(new[*at].clone())));
    gone.chain(changed).collect()
}
