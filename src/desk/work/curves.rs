//! The curve of a figure over the whole part.

use std::time::Duration;

use egui::Context;

use crate::analysis::{Curve, Quantity, Study, StudyId};

use super::job::{Job, MOMENT};

/// The curve that is looked at.
#[derive(Default)]
pub struct CurveWork {
    about: Option<(StudyId, Quantity)>,
    job: Option<Job<Curve>>,
    curve: Option<Curve>,
}

impl CurveWork {
    /// The curve of this figure, once it is there; of the lesson as it was, until it is made anew.
    pub fn curve(&self, quantity: Quantity) -> Option<&Curve> {
        self.curve.as_ref().filter(|curve| curve.quantity == quantity)
    }

    /// A curve is being made.
    pub fn is_under_way(&self) -> bool {
        self.job.is_some()
    }

    /// Takes in what was made, and begins anew for another study or figure. Call it every frame while a
    /// curve is shown.
    pub fn turn(&mut self, study: &Study, quantity: Quantity, ctx: &Context) {
        let about = Some((study.id(), quantity));
        let mut patience = Duration::ZERO;
        if self.about != about {
            let study = study.clone();
            let job = Job::start("curve", ctx, move |line| line.send(study.analysis().curve(quantity)));
            (self.about, self.job, patience) = (about, job, MOMENT);
        }
        let Some(job) = &mut self.job else { return };
        let made = job.wait(patience);
        if made.is_some() || job.is_over() {
            self.job = None;
        }
        self.curve = made.or(self.curve.take());
    }
}
