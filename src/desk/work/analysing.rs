//! The analysis of a lesson that was changed. What is shown stays until it is there.

use std::time::Duration;

use egui::Context;

use crate::{
    desk::state::{
        history::{History, StateId},
        spacing::Spaced,
    },
    lesson::Lesson,
};

use super::job::{Job, MOMENT};

/// From when on it is told that an analysis is under way, s: what is done sooner would only flicker.
/// Assumed.
const TOLD_S: f64 = 0.3;

/// How many notes and rests a part has from which on a change is not waited for in the frame in which it is made:
/// neither itself nor what follows of it is known within a moment. Assumed.
const LONG: usize = 3000;

/// What is done with a lesson is not done within a moment.
pub fn is_long(lesson: &Lesson) -> bool {
    lesson.score.events.len() > LONG
}

/// What began at a moment, s, has lasted so long that it is told; else the window is woken when it has.
pub fn is_told(since_s: f64, now_s: f64, ctx: &Context) -> bool {
    let told_in = since_s + TOLD_S - now_s;
    if told_in > 0.0 {
        ctx.request_repaint_after(Duration::from_secs_f64(told_in));
    }
    told_in <= 0.0
}

/// Follows the lesson on the desk.
#[derive(Default)]
pub struct Analysing {
    job: Option<(StateId, Job<Spaced>)>,
    /// When it began, s.
    since_s: f64,
    /// The state on which an analysis failed.
    failed: Option<StateId>,
}

impl Analysing {
    /// Gives what was analysed of the lesson, and begins anew where that has changed. Call it every frame
    /// and after each change; of a part that is not long, what is done within a moment is given at once.
    pub fn turn(&mut self, history: &History, now_s: f64, ctx: &Context) -> Option<Spaced> {
        if !history.is_behind() {
            *self = Self::default();
            return None;
        }
        let state = history.state();
        let mut patience = Duration::ZERO;
        if self.job.is_none() && self.failed != Some(state) {
            let analysed = history.analysed();
            let job = Job::start("analysis", ctx, move |line| line.send(Spaced::from(analysed())));
            self.job = job.map(|job| (state, job));
            self.since_s = now_s;
            if !is_long(history.lesson()) {
                patience = MOMENT;
            }
        }
        let (state, job) = self.job.as_mut()?;
        let analysed = job.wait(patience);
        if analysed.is_some() {
            self.job = None;
        } else if job.is_over() {
            (self.failed, self.job) = (Some(*state), None);
        }
        analysed
    }

    /// The program failed on the lesson as it is now.
    pub fn has_failed(&self) -> bool {
        self.failed.is_some()
    }

    /// What is to be said about it, where there is something.
    pub fn words(&self, now_s: f64, ctx: &Context) -> Option<&'static str> {
        if self.failed.is_some() {
            return Some("The program failed on this change, which is a fault of ours: undo it");
        }
        self.job.as_ref()?;
        is_told(self.since_s, now_s, ctx).then_some("Working out the change…")
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::Study,
        desk::state::history::Change,
        lesson::{Edit, demo::demo},
    };

    #[test]
    fn the_lesson_is_followed_to_its_last_state() {
        let ctx = Context::default();
        let mut history = History::new(Study::new(demo()));
        let mut analysing = Analysing::default();
        assert!(analysing.turn(&history, 0.0, &ctx).is_none());
        for title in ["A", "B", "C"] {
            let change = Change::new(history.lesson(), &Edit::Title(title.to_owned())).unwrap();
            history.take(change, None);
            if let Some(analysed) = analysing.turn(&history, 0.0, &ctx) {
                history.show(analysed);
            }
        }
        for _ in 0..6000 {
            if !history.is_behind() {
                break;
            }
            std::thread::sleep(Duration::from_millis(5));
            if let Some(analysed) = analysing.turn(&history, 0.0, &ctx) {
                history.show(analysed);
            }
        }
        assert_eq!(history.study().lesson().score.title, "C");
        assert!(analysing.words(9.0, &ctx).is_none());
    }
}
