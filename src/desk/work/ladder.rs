//! The tempo ladder of one study, over the whole part.

use egui::Context;

use crate::{
    advice::{Ladder, ladder, ladder_shares},
    analysis::{Study, StudyId},
    lesson::Lesson,
};

use super::{calm::Calm, job::Job};

/// The lesson must stand still so long before a ladder is begun, s. Assumed.
const CALM_S: f64 = 0.3;

/// The ladder of a lesson. It does not depend on the practice tempo.
#[derive(Default)]
pub struct LadderWork {
    calm: Calm,
    /// What the ladder is of.
    about: Option<Study>,
    job: Option<Job<Ladder>>,
    ladder: Option<Ladder>,
}

impl LadderWork {
    /// The ladder, once it is there.
    pub fn ladder(&self) -> Option<&Ladder> {
        self.ladder.as_ref()
    }

    /// The study the ladder is of; the practice tempo may have changed since.
    pub fn of(&self) -> Option<StudyId> {
        self.about.as_ref().map(Study::id)
    }

    /// The part of the work that is done, 0 to 1; none when none is under way.
    pub fn done_part(&self) -> Option<f32> {
        self.job.as_ref().map(Job::done_part)
    }

    /// Takes in what was found, and begins anew when the lesson has changed in more than its
    /// practice tempo. Call it every frame while the ladder is shown.
    pub fn turn(&mut self, study: &Study, now_s: f64, ctx: &Context) {
        let is_new = self.calm.is_new(study.id(), now_s);
        if is_new && self.about.as_ref().is_some_and(|about| !same_but_tempo(about, study)) {
            *self = Self { calm: self.calm, ..Self::default() };
        }
        if let Some(job) = &mut self.job {
            let found = job.next();
            if found.is_some() || job.is_over() {
                (self.ladder, self.job) = (found, None);
            }
        }
        if self.about.is_some() || !self.calm.lasts(CALM_S, now_s, ctx) {
            return;
        }
        self.about = Some(study.clone());
        let study = study.clone();
        self.job = Job::start("tempo ladder", ctx, move |line| {
            if let Some(ladder) = ladder(&study, &ladder_shares(), &mut |part| line.goes_on(part)) {
                line.send(ladder);
            }
        });
    }

    /// Gives up what is under way, when the ladder is put away.
    pub fn rest(&mut self) {
        if self.job.take().is_some() {
            self.about = None;
        }
    }
}

fn same_but_tempo(a: &Study, b: &Study) -> bool {
    let mut a: Lesson = a.lesson().clone();
    a.setup.tempo_share = b.lesson().setup.tempo_share;
    a == *b.lesson()
}
