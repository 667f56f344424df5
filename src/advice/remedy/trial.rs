//! One change to be tried.

use crate::lesson::Edit;

use super::step::Step;

/// What a teacher changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
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
    /// A retake or bow mark goes.
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
    /// A faster bow.
    SpendBow,
    /// Lighter and faster returns.
    Return,
    /// A dynamic step down.
    Softer,
    /// A dynamic step up.
    Louder,
    /// Another stroke type.
    Stroke,
    /// Another tempo.
    Tempo,
}

impl Change {
    /// Its stable name.
    pub fn id(self) -> &'static str {
        match self {
            Self::Split => "split",
            Self::Inside => "inside",
            Self::Hook => "hook",
            Self::Portato => "portato",
            Self::Slur => "slur",
            Self::NoRetake => "no-retake",
            Self::Retake => "retake",
            Self::RetakeInside => "retake-inside",
            Self::Turn => "turn",
            Self::Start => "start",
            Self::Place => "place",
            Self::FreePlace => "free-place",
            Self::SaveBow => "save-bow",
            Self::SpendBow => "spend-bow",
            Self::Return => "return",
            Self::Softer => "softer",
            Self::Louder => "louder",
            Self::Stroke => "stroke",
            Self::Tempo => "tempo",
        }
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
    /// What the change is made of.
    pub(super) steps: Vec<Step>,
}

impl Trial {
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
    pub(in crate::advice) fn alike(&self) -> (Change, Option<Change>) {
        let change = if self.change == Change::Portato { Change::Hook } else { self.change };
        (change, self.and)
    }
}
