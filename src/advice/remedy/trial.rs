//! One change to be tried.

use strum::IntoStaticStr;

use crate::{analysis::Study, lesson::Edit};

use super::correction::{Correction, edit_of};

/// What a teacher changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, IntoStaticStr)]
#[strum(serialize_all = "kebab-case")]
pub enum Change {
    /// A slur, or notes in one bow, in two or more bows.
    Split,
    /// The bow changed inside a note.
    Inside,
    /// Two strokes in one bow with a stop.
    Hook,
    /// Two strokes in one bow with a pulse.
    Portato,
    /// Two strokes in one slur.
    Slur,
    /// A hook that nobody wrote goes.
    NoHook,
    /// A retake goes.
    NoRetake,
    /// A retake between two bows.
    Retake,
    /// A retake inside a slur or hook, which ends there.
    RetakeInside,
    /// The bowing turned round from a place on.
    Turn,
    /// Another starting place.
    Start,
    /// A place on the bow fixed.
    Place,
    /// A fixed place set free.
    FreePlace,
    /// A slower bow.
    SaveBow,
    /// Lighter and faster returns.
    Return,
    /// A dynamic step down.
    Softer,
    /// Another stroke type.
    Stroke,
    /// Another tempo.
    Tempo,
}

impl Change {
    /// Its stable name: "split", "retake-inside".
    pub fn id(self) -> &'static str {
        self.into()
    }
}

/// What a maker proposes; whether it can be made shows when it becomes a [`Trial`].
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Proposal {
    pub change: Change,
    pub and: Option<Change>,
    pub words: String,
    pub corrections: Vec<Correction>,
}

impl Proposal {
    pub fn new(change: Change, words: impl Into<String>, corrections: impl Into<Vec<Correction>>) -> Self {
        Self { change, and: None, words: words.into(), corrections: corrections.into() }
    }

    /// Two changes at once.
    pub fn both(
        (change, and): (Change, Change),
        words: impl Into<String>,
        corrections: impl Into<Vec<Correction>>,
    ) -> Self {
        Self { and: Some(and), ..Self::new(change, words, corrections) }
    }
}

/// A change that may cure a finding; nothing is known of its effect yet.
#[derive(Clone, Debug, PartialEq)]
pub struct Trial {
    /// What is changed.
    pub change: Change,
    /// What is changed with it, where one change may not be enough.
    pub and: Option<Change>,
    /// What a teacher would say: "Split the slur before bar 8, beat 3".
    pub words: String,
    /// The change, as one step that can be undone.
    pub edit: Edit,
    /// It is made at more than one place of the finding.
    pub everywhere: bool,
    /// At how many places it is made.
    pub(super) places: usize,
    /// What the change is made of.
    pub(super) corrections: Vec<Correction>,
}

impl Trial {
    /// What is proposed as a change of the lesson of this study. None where it cannot be made, changes nothing or
    /// does not leave a settled bowing alone.
    pub(super) fn of(study: &Study, proposal: Proposal) -> Option<Self> {
        let Proposal { change, and, words, corrections } = proposal;
        if corrections.iter().any(|correction| correction.is_settled(study)) {
            return None;
        }
        let edit = edit_of(study.lesson(), &words, &corrections)?;
        Some(Self { change, and, words, edit, everywhere: false, places: 1, corrections })
    }

    /// Stable name of the kind of change; two joined by "+" for two changes at once.
    pub fn id(&self) -> String {
        match self.and {
            Some(and) => format!("{}+{}", self.change.id(), and.id()),
            None => self.change.id().to_owned(),
        }
    }

    /// Two changes at once.
    pub fn is_double(&self) -> bool {
        self.and.is_some()
    }

    /// What counts as the same in a list that wants variety: hook and portato are one.
    pub(super) fn alike(&self) -> (Change, Option<Change>) {
        let change = if self.change == Change::Portato { Change::Hook } else { self.change };
        (change, self.and)
    }
}
