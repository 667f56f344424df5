//! What a study asks of the arm, in words: the arm is looked at every quarter of a second of the whole
//! part, which takes longer than a frame.

use egui::Context;

use crate::analysis::Study;

use super::{calm::Calm, job::Job};

/// The lesson must stand still so long before the arm is looked at, s. Assumed.
const CALM_S: f64 = 0.15;

/// The prompt to vary and rest of a lesson: a line, and more about it.
type Words = Option<(String, String)>;

/// What to take care of. The words stay until those of the changed lesson are there.
#[derive(Default)]
pub struct CareWork {
    calm: Calm,
    /// The words are of the lesson that stands still, or being made for it.
    is_begun: bool,
    job: Option<Job<Words>>,
    words: Words,
}

impl CareWork {
    /// The prompt, where there is something to say.
    pub fn words(&self) -> Option<&(String, String)> {
        self.words.as_ref()
    }

    /// Takes in what was found, and begins anew when the lesson has changed. Call it every frame.
    pub fn turn(&mut self, study: &Study, now_s: f64, ctx: &Context) {
        if self.calm.is_new(study.id(), now_s) {
            (self.is_begun, self.job) = (false, None);
        }
        if let Some(job) = &mut self.job {
            let found = job.next();
            if found.is_some() || job.is_over() {
                (self.words, self.job) = (found.flatten(), None);
            }
        }
        if self.is_begun || !self.calm.lasts(CALM_S, now_s, ctx) {
            return;
        }
        self.is_begun = true;
        let study = study.clone();
        self.job = Job::start("care of the arm", ctx, move |line| {
            line.send(study.analysis().care_words(&study.lesson().score));
        });
    }
}
