//! One bowing that the search suggests.

use crate::{
    analysis::{Study, StudyId},
    lesson::Edit,
};

use super::super::{
    difference::Difference,
    standing::{Changed, Standing},
};

/// One bowing that the search suggests.
#[derive(Clone, Debug)]
pub struct Suggestion {
    /// What is changed, in a few words.
    pub headline: String,
    /// Every change of the marks, in the order of the music.
    pub changes: Vec<Difference>,
    /// What is better and what is worse than now, and than in the other answers.
    pub reasons: Vec<String>,
    /// The change, to be applied to the lesson as one step; empty if the bowing stays as it is.
    pub edit: Edit,
    /// The lesson with it, and what is known about that.
    pub study: Study,
    /// How the lesson stands then.
    pub after: Standing,
    /// The same of the notes that were asked about.
    pub here: Standing,
    /// How much of the writing differs from now.
    pub changed: Changed,
}

impl Suggestion {
    /// Tells it from every other answer, wherever it stands in a list.
    pub fn id(&self) -> StudyId {
        self.study.id()
    }

    /// What the search made as small as it could ([`Standing::weight`]).
    pub fn weight(&self) -> f64 {
        self.after.weight(self.changed)
    }
}
