//! What is worked out of the lesson off the thread that draws: changes of it, and notes that are copied.

use std::sync::Arc;

use crate::{
    desk::work::{
        analysing::{is_long, is_told},
        job::Job,
    },
    lesson::Lesson,
};

use super::Desk;

/// What is done on the desk with what was worked out, at a time, s.
type Then = Box<dyn FnOnce(&mut Desk, f64) + Send>;

/// What is being worked out. All that goes out from the lesson waits for it.
pub(super) struct Underway {
    job: Job<Then>,
    since_s: f64,
}

impl Underway {
    /// What is to be said about it, where it takes long.
    pub(super) fn words(&self, now_s: f64, ctx: &egui::Context) -> Option<&'static str> {
        is_told(self.since_s, now_s, ctx).then_some("Working on it…")
    }
}

impl Desk {
    /// Works something out of the lesson as it is, then goes on with it: of a part that is not long at once, of a
    /// long one in a later frame. Nothing else goes out from the lesson before.
    pub(super) fn work_out<T: Send + 'static>(
        &mut self,
        work: impl FnOnce(&Arc<Lesson>) -> T + Send + 'static,
        then: impl FnOnce(&mut Self, T, f64) + Send + 'static,
        now_s: f64,
    ) {
        let lesson = Arc::clone(self.history.lesson());
        if !is_long(&lesson) {
            let made = work(&lesson);
            return then(self, made, now_s);
        }
        let job = Job::start("change", &self.ctx, move |line| {
            let made = work(&lesson);
            line.send(Box::new(move |desk: &mut Self, now_s: f64| then(desk, made, now_s)) as Then);
        });
        match job {
            Some(job) => self.underway = Some(Underway { job, since_s: now_s }),
            None => self.say("The system has no room for this now; try again"),
        }
    }

    /// Goes on with what was worked out, once it is there.
    pub(super) fn turn_underway(&mut self, now_s: f64) {
        let Some(underway) = &mut self.underway else { return };
        let then = underway.job.next();
        let is_over = underway.job.is_over();
        if then.is_some() || is_over {
            self.underway = None;
        }
        match then {
            Some(then) => then(self, now_s),
            None if is_over => {
                self.say("The program failed on this, which is a fault of ours; nothing is changed");
            }
            None => {}
        }
    }
}
