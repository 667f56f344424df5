//! What every panel reads.

use crate::{
    analysis::{Analysis, BowState, Study},
    desk::widgets::theme::Look,
    lesson::Lesson,
};

/// The study on the desk at the moment of the playhead, and how things are drawn.
#[derive(Clone, Debug)]
pub struct Now {
    /// The lesson and what is known about it.
    pub study: Study,
    /// The playhead, s from the start at the practice tempo.
    pub position_s: f64,
    /// Where the bow is then.
    pub bow: BowState,
    /// Colours and sizes.
    pub look: Look,
    /// Scale of drawings, points in a millimetre.
    pub points_per_mm: f32,
}

impl Now {
    /// A study with its playhead at a moment, s.
    pub fn new(study: &Study, position_s: f64, look: Look, points_per_mm: f32) -> Self {
        let bow = study.analysis().bow_at(position_s);
        Self { study: study.clone(), position_s, bow, look, points_per_mm }
    }

    /// The lesson.
    pub fn lesson(&self) -> &Lesson {
        self.study.lesson()
    }

    /// What is known about it.
    pub fn analysis(&self) -> &Analysis {
        self.study.analysis()
    }

    /// The playhead, quarter notes from the start.
    pub fn quarters(&self) -> f64 {
        self.analysis().quarters_at(self.position_s)
    }
}
