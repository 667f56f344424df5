//! Where the notes of a whole score stand.

use std::sync::Arc;

use crate::{
    analysis::Study,
    lesson::Lesson,
    picture::{Engraving, TimeAxis},
};

/// Spacing of the whole score; belongs to one state of the lesson.
#[derive(Debug)]
pub struct Spacing {
    /// Where accidentals, dots and stems stand.
    pub engraving: Engraving,
    /// Where the moments are, from left to right.
    pub axis: TimeAxis,
}

impl Spacing {
    /// Spaces a score.
    pub fn new(lesson: &Lesson) -> Self {
        let engraving = Engraving::new(&lesson.score);
        let axis = TimeAxis::new(&lesson.score, &engraving);
        Self { engraving, axis }
    }
}

/// A study with its spacing and its pencil marks. Of a long part all take longer to make than a frame.
#[derive(Clone, Debug)]
pub struct Spaced {
    /// The state of the lesson and what is known about it.
    pub study: Study,
    /// Where its notes stand.
    pub spacing: Arc<Spacing>,
}

impl From<Study> for Spaced {
    fn from(study: Study) -> Self {
        study.pencil();
        Self { spacing: Arc::new(Spacing::new(study.lesson())), study }
    }
}
