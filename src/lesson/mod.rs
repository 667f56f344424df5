//! The document: everything that is saved, and every change to it as a value.
//!
//! ```
//! use elbowroom::{
//!     lesson::{change, demo::demo},
//!     score::Direction,
//! };
//!
//! let lesson = demo();
//! let first = lesson.score.events[0].id;
//! let edit = change::set_bow(&lesson, &[first], Some(Direction::Up))?;
//! let (changed, undo) = edit.apply(&lesson)?;
//! assert_eq!(changed.score.events[0].bow, Some(Direction::Up));
//! assert_eq!(undo.apply(&changed)?.0, lesson);
//! # Ok::<(), elbowroom::lesson::EditError>(())
//! ```

pub mod change;
mod checked;
pub mod demo;
mod edit;
pub mod handout;
mod pieces;
mod writer;

pub use checked::LessonError;
pub use edit::{Edit, EditError};
pub use writer::Writer;

use std::{collections::BTreeSet, path::Path};

use serde::{Deserialize, Serialize};

use handout::Handout;

use crate::{
    score::{EventId, Score, Shared},
    setup::{Family, Setup},
};

/// A lesson: the music, the set-up, and what the teacher has fixed.
///
/// What a lesson promises is said at [`Lesson::checked`].
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Lesson {
    /// The music.
    pub score: Score,
    /// Instrument, bow, player, school, practice tempo.
    pub setup: Setup,
    /// Places on the bow fixed by the user, in the order of their ids.
    #[serde(default)]
    pub pins: Vec<Pin>,
    /// Findings the user does not want to be told in this lesson, with the reason.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub silenced: Vec<Silenced>,
    /// Pencil marks the teacher has rubbed out or written otherwise.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub pencilled: Vec<Pencilled>,
    /// What the teacher says in the place of sentences of the passage in words.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub spoken: Vec<Spoken>,
    /// Notes whose bowing is settled: a search for a bowing leaves them as they are.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub kept: BTreeSet<EventId>,
    /// The score file it was read from; none where it was typed in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub source: Option<Source>,
    /// What the pupil takes home.
    #[serde(default, skip_serializing_if = "is_no_handout")]
    pub handout: Shared<Handout>,
}

fn is_no_handout(handout: &Shared<Handout>) -> bool {
    handout.is_empty()
}

impl Lesson {
    /// A lesson on this score with the default setup of a family.
    pub fn new(score: Score, family: Family) -> Self {
        Self {
            score,
            setup: Setup::for_family(family),
            pins: Vec::new(),
            silenced: Vec::new(),
            pencilled: Vec::new(),
            spoken: Vec::new(),
            kept: BTreeSet::new(),
            source: None,
            handout: Shared::default(),
        }
    }

    /// The same, read from a part of a score file.
    #[must_use]
    pub fn from_file(mut self, file: &Path, part: &str) -> Self {
        self.source = Some(Source { file: file.to_string_lossy().into_owned(), part: part.to_owned() });
        self
    }

    /// Lets go of what was fixed on notes that are not in the score any more, so that no later note
    /// with the same id inherits it.
    pub(crate) fn forget_lost_notes(&mut self) {
        let notes = self.score.events.iter().filter(|event| !event.is_rest());
        let notes: BTreeSet<EventId> = notes.map(|event| event.id).collect();
        self.pins.retain(|pin| notes.contains(&pin.event));
        self.silenced.retain(|silenced| notes.contains(&silenced.event));
        self.pencilled.retain(|pencilled| notes.contains(&pencilled.event));
        self.spoken.retain(|spoken| notes.contains(&spoken.event));
        self.kept.retain(|id| notes.contains(id));
    }
}

/// Where a lesson was read from.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Source {
    /// Path of the score file, as it was opened.
    pub file: String,
    /// Id of the part in it.
    pub part: String,
}

/// Identifies a pin.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct PinId(pub u32);

/// "Be here": a place on the hair fixed for the start of a note.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pin {
    /// Its identity.
    pub id: PinId,
    /// The note it holds.
    pub event: EventId,
    /// Region as shares of the hair, frog 0 to tip 1; both the same for a point.
    pub from_share: f64,
    /// See `from_share`.
    pub to_share: f64,
}

/// A finding that is not to be told.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Silenced {
    /// The stable id of the kind of finding.
    pub id: String,
    /// The written note it is about.
    pub event: EventId,
    /// Why, in the user's words; may be empty.
    pub reason: String,
}

/// What the teacher does about a pencil mark.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Pencilled {
    /// The stable id of what the mark is about.
    pub id: String,
    /// The written note it stands over.
    pub event: EventId,
    /// What stands there in its place; empty where it is rubbed out.
    pub words: String,
}

/// What the teacher says in the place of a sentence.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Spoken {
    /// The stable id of what the sentence is about.
    pub id: String,
    /// The written note with which it begins.
    pub event: EventId,
    /// What is said; empty where the sentence is left out.
    pub words: String,
    /// What the program said there when they were written.
    pub instead_of: String,
}
