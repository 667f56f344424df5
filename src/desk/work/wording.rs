//! The whole part in words: the lesson is planned at its slow and its full tempo for it, which takes longer than a
//! frame.

use std::sync::Arc;

use egui::Context;

use crate::{
    analysis::Study,
    practice::{Passage, Tempos},
};

use super::{calm::Calm, job::Job};

/// The lesson must stand still so long before it is put into words, s. Assumed.
const CALM_S: f64 = 0.15;

/// A lesson in words. Those of the lesson before stay until the new ones are there.
#[derive(Default)]
pub struct WordingWork {
    calm: Calm,
    /// The words are of the lesson that stands still, or being made for it.
    is_begun: bool,
    job: Option<Job<Arc<Passage>>>,
    passage: Option<Arc<Passage>>,
}

impl WordingWork {
    /// The words, when they are there.
    pub fn passage(&self) -> Option<&Arc<Passage>> {
        self.passage.as_ref()
    }

    /// Another lesson has come on the desk: nothing is said of the one before.
    pub fn forget(&mut self) {
        *self = Self::default();
    }

    /// Takes in what was written, and begins anew when the lesson has changed. Call it every frame in which the words
    /// are looked at.
    pub fn turn(&mut self, study: &Study, now_s: f64, ctx: &Context) {
        if self.calm.is_new(study.id(), now_s) {
            (self.is_begun, self.job) = (false, None);
        }
        if let Some(job) = &mut self.job {
            let found = job.next();
            if found.is_some() || job.is_over() {
                (self.passage, self.job) = (found.or(self.passage.take()), None);
            }
        }
        if self.is_begun || !self.calm.lasts(CALM_S, now_s, ctx) {
            return;
        }
        self.is_begun = true;
        let study = study.clone();
        self.job = Job::start("passage in words", ctx, move |line| {
            let bars = 0..study.lesson().score.bars.len();
            line.send(Arc::new(Passage::new(&study, Some(&Tempos::new(&study)), bars)));
        });
    }
}
