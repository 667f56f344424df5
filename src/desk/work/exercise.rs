//! An exercise made from a passage.

use egui::Context;

use crate::{
    analysis::{Study, StudyId},
    practice::{double_stop_ladder, double_stops},
    score::Note,
};

use super::job::Job;

/// The exercise that was asked for last.
#[derive(Default)]
pub struct ExerciseWork {
    of: Option<StudyId>,
    job: Option<Job<Option<Study>>>,
}

impl ExerciseWork {
    /// Begins the way up to these double stops, or to all of the music.
    pub fn start(&mut self, study: &Study, pairs: Option<Vec<[Note; 2]>>, ctx: &Context) {
        let about = study.clone();
        self.of = Some(study.id());
        self.job = Job::start("exercise", ctx, move |line| {
            let pairs = pairs.unwrap_or_else(|| double_stops(&about));
            line.send(double_stop_ladder(about.lesson(), &pairs).map(Study::new));
        });
    }

    /// An exercise is being made.
    pub fn is_under_way(&self) -> bool {
        self.job.is_some()
    }

    /// The exercise, once it is there; the inner one is none where nothing can be practised. Forgets
    /// what was asked of another study. Call it every frame.
    pub fn turn(&mut self, study: &Study) -> Option<Option<Study>> {
        if self.of != Some(study.id()) {
            *self = Self::default();
        }
        let job = self.job.as_mut()?;
        let made = job.next();
        if made.is_some() || job.is_over() {
            self.job = None;
        }
        made
    }
}
