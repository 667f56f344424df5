//! Where the notes of a whole score stand.

use crate::{
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
