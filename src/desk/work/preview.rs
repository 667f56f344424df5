//! A version on offer, made ready to be shown in the place of the lesson.

use std::{collections::BTreeSet, time::Duration};

use egui::Context;

use crate::{
    advice::notes_with_changed_marks,
    analysis::{Study, StudyId},
    picture::Engraving,
    score::EventId,
};

use super::job::{Job, MOMENT, let_go};

/// A version with its own marks, to be drawn over the places of the notes of the lesson.
#[derive(Debug)]
pub struct Preview {
    /// The version, with its pencil marks made.
    pub study: Study,
    /// Its notation.
    pub engraving: Engraving,
    /// Notes that have other marks in it than in the lesson.
    pub changed: BTreeSet<EventId>,
}

/// The version that is looked at.
#[derive(Default)]
pub struct PreviewWork {
    /// The lesson and the version.
    about: Option<(StudyId, StudyId)>,
    job: Option<Job<Preview>>,
    ready: Option<Preview>,
}

impl PreviewWork {
    /// The version that is looked at, once it can be drawn.
    pub fn ready(&self) -> Option<&Preview> {
        self.ready.as_ref()
    }

    /// Takes in what was made ready, and begins anew where another version is looked at. Call it every frame.
    pub fn turn(&mut self, lesson: &Study, version: Option<&Study>, ctx: &Context) {
        let about = version.map(|version| (lesson.id(), version.id()));
        let mut patience = Duration::ZERO;
        if self.about != about {
            let_go(std::mem::take(self));
            self.about = about;
            let Some(study) = version.cloned() else { return };
            let lesson = lesson.clone();
            self.job = Job::start("preview", ctx, move |line| {
                let (old, new) = (&lesson.lesson().score, &study.lesson().score);
                let (engraving, changed) = (Engraving::new(new), notes_with_changed_marks(old, new));
                study.pencil();
                line.send(Preview { study, engraving, changed });
            });
            patience = MOMENT;
        }
        let Some(job) = &mut self.job else { return };
        let ready = job.wait(patience);
        if ready.is_some() || job.is_over() {
            (self.ready, self.job) = (ready, None);
        }
    }
}
