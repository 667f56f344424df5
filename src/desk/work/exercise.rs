//! A lesson made from the one on the desk: an exercise, some of its bars, a scale for its player.

use egui::Context;

use crate::{
    analysis::{Study, StudyId},
    desk::{command::Making, state::spacing::Spaced},
    lesson::change,
    practice::{double_stop_ladder, double_stops, passage_exercise},
};

use super::job::Job;

/// The lesson that was asked for last.
#[derive(Default)]
pub struct ExerciseWork {
    of: Option<StudyId>,
    job: Option<Job<Result<Spaced, String>>>,
}

impl ExerciseWork {
    /// Begins to make it.
    pub fn start(&mut self, study: &Study, making: Making, ctx: &Context) {
        let about = study.clone();
        self.of = Some(study.id());
        self.job = Job::start("exercise", ctx, move |line| {
            let made = match making {
                Making::DoubleStops(pairs) => {
                    let pairs = pairs.unwrap_or_else(|| double_stops(&about));
                    let ladder = double_stop_ladder(about.lesson(), &pairs);
                    ladder.ok_or_else(|| "Nothing of it lies in the hand".to_owned())
                }
                Making::Bars(bars) => {
                    change::excerpt(about.lesson(), bars).map_err(|error| error.to_string())
                }
                Making::Passage(bars, kind) => passage_exercise(&about, bars, kind),
                Making::Lesson(lesson) => Ok(*lesson),
            };
            line.send(made.map(|lesson| Spaced::from(Study::new(lesson))));
        });
    }

    /// A lesson is being made.
    pub fn is_under_way(&self) -> bool {
        self.job.is_some()
    }

    /// The lesson, once it is there, or why there is none. Forgets what was asked of another study. Call it
    /// every frame.
    pub fn turn(&mut self, study: &Study) -> Option<Result<Spaced, String>> {
        if self.of != Some(study.id()) {
            *self = Self::default();
        }
        let job = self.job.as_mut()?;
        let made = job.next();
        if made.is_some() || job.is_over() {
            self.job = None;
        }
        made
    }
}
