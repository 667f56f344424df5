//! What is heard of a study: of a long part it is longer in the making than a frame.

use std::sync::Arc;

use egui::Context;

use crate::{
    analysis::{Study, StudyId},
    sound::{Events, Tuning},
};

use super::job::{Job, MOMENT};

/// What is heard of one study in one tuning.
#[derive(Default)]
pub struct SoundWork {
    /// What the job is for, or what was made.
    of: Option<(StudyId, Tuning)>,
    job: Option<Job<Arc<Events>>>,
    events: Option<Arc<Events>>,
}

impl SoundWork {
    /// What is heard of this study, once it is made. Call it every frame while something may sound.
    pub fn turn(&mut self, study: &Study, tuning: Tuning, ctx: &Context) -> Option<&Arc<Events>> {
        if self.of != Some((study.id(), tuning)) {
            self.of = Some((study.id(), tuning));
            self.events = None;
            let study = study.clone();
            self.job =
                Job::start("sound", ctx, move |line| line.send(Arc::new(Events::new(&study, &tuning))));
            self.events = self.job.as_mut().and_then(|job| job.wait(MOMENT));
        } else if self.events.is_none() {
            self.events = self.job.as_mut().and_then(Job::next);
        }
        if self.events.is_some() {
            self.job = None;
        }
        self.events.as_ref()
    }
}
