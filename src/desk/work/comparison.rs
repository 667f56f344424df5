//! The comparison of the kept version with the study on the desk.

use std::time::Duration;

use egui::Context;

use crate::{
    advice::{Difference, compare},
    analysis::{Study, StudyId},
    desk::state::kept::Kept,
};

use super::job::{Job, MOMENT};

/// What differs from the kept version.
#[derive(Default)]
pub struct Comparison {
    /// The two that are compared.
    pair: Option<(StudyId, StudyId)>,
    job: Option<Job<Vec<Difference>>>,
}

impl Comparison {
    /// A comparison is being made.
    pub fn is_under_way(&self) -> bool {
        self.job.is_some()
    }

    /// Takes in what was found; compares anew when either version is another. The differences found
    /// before stay until then. Call it every frame.
    pub fn turn(&mut self, kept: Option<&mut Kept>, present: &Study, ctx: &Context) {
        let Some(kept) = kept else {
            *self = Self::default();
            return;
        };
        let pair = Some((kept.study().id(), present.id()));
        let mut patience = Duration::ZERO;
        if self.pair != pair {
            let (theirs, present) = (kept.study().clone(), present.clone());
            let job = Job::start("comparison", ctx, move |line| line.send(compare(&theirs, &present)));
            (self.pair, self.job, patience) = (pair, job, MOMENT);
        }
        let Some(job) = &mut self.job else { return };
        let found = job.wait(patience);
        if found.is_some() || job.is_over() {
            self.job = None;
        }
        if let Some(differences) = found {
            kept.differ_in(differences);
        }
    }
}
