//! The parts of a warm-up for the study, in so many minutes.

use egui::Context;

use crate::{
    analysis::{Study, StudyId},
    practice::{WarmUpPart, warm_up_parts},
};

use super::job::Job;

/// The parts that were asked for last.
#[derive(Default)]
pub struct WarmUpWork {
    of: Option<(StudyId, usize, u8)>,
    job: Option<Job<Vec<WarmUpPart>>>,
    parts: Option<Vec<WarmUpPart>>,
}

impl WarmUpWork {
    /// The parts, once they are there. Call it every frame while they are looked at.
    pub fn turn(
        &mut self,
        study: &Study,
        (bar, minutes): (usize, u8),
        ctx: &Context,
    ) -> Option<&[WarmUpPart]> {
        let wanted = Some((study.id(), bar, minutes));
        if self.of != wanted {
            let about = study.clone();
            let job = Job::start("warm-up", ctx, move |line| line.send(warm_up_parts(&about, bar, minutes)));
            // What is shown stays until the other is there, of the same lesson.
            let parts = self.parts.take().filter(|_| self.of.is_some_and(|(of, ..)| of == study.id()));
            *self = Self { of: wanted, job, parts };
        }
        if let Some(parts) = self.job.as_mut().and_then(Job::next) {
            (self.parts, self.job) = (Some(parts), None);
        }
        self.parts.as_deref()
    }
}
