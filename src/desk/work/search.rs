//! The search for a bowing of one study.

use std::collections::BTreeSet;

use egui::Context;

use crate::{
    advice::{Ask, Freedom, Suggestion, suggest},
    analysis::{Study, StudyId},
    bowing::Bowed,
    score::EventId,
};

use super::job::{Job, let_go};

/// Answers asked for: as many as have room side by side.
pub const ANSWERS: usize = 3;

/// A search, or its answers.
#[derive(Default)]
pub struct Search {
    study: Option<StudyId>,
    job: Option<Job<Result<Vec<Suggestion>, String>>>,
    answers: Vec<Suggestion>,
    /// Why there is no answer.
    problem: Option<String>,
}

impl Search {
    /// The answers for the study, the best first.
    pub fn answers(&self) -> &[Suggestion] {
        &self.answers
    }

    /// The answer that leads to a study.
    pub fn leading_to(&self, id: StudyId) -> Option<&Suggestion> {
        self.answers.iter().find(|answer| answer.study.id() == id)
    }

    /// Why there is no answer.
    pub fn problem(&self) -> Option<&str> {
        self.problem.as_deref()
    }

    /// The part of a search that is done, 0 to 1; none when none is under way.
    pub fn done_part(&self) -> Option<f32> {
        self.job.as_ref().map(Job::done_part)
    }

    /// Takes in what was found; forgets what belongs to another study. Call it every frame. When
    /// answers have come, gives the first bar that one of them changes.
    pub fn turn(&mut self, study: &Study) -> Option<usize> {
        if self.study != Some(study.id()) {
            let_go(std::mem::replace(self, Self { study: Some(study.id()), ..Self::default() }));
        }
        let job = self.job.as_mut()?;
        let found = job.next();
        if found.is_some() || job.is_over() {
            self.job = None;
        }
        match found? {
            Ok(answers) => self.answers = answers,
            Err(why) => self.problem = Some(why),
        }
        self.answers.iter().map(|answer| first_bar(study, answer)).min()
    }

    /// Starts a search over some notes, or over the whole part.
    pub fn start(
        &mut self,
        study: &Study,
        events: Option<BTreeSet<EventId>>,
        freedom: Freedom,
        ctx: &Context,
    ) {
        let ask = Ask { events, freedom, answers: ANSWERS };
        let about = study.clone();
        let job = Job::start("suggest a bowing", ctx, move |line| {
            let found = suggest(&about, &ask, &mut |part| line.goes_on(part));
            line.send(found.map_err(|error| error.to_string()));
        });
        *self = Self { study: Some(study.id()), job, ..Self::default() };
    }

    /// Stops the search.
    pub fn cancel(&mut self) {
        if self.job.take().is_some() {
            self.problem = Some("the search was stopped".to_owned());
        }
    }

    /// A search that has given these answers.
    #[cfg(test)]
    pub fn answered(study: &Study, answers: Vec<Suggestion>) -> Self {
        Self { study: Some(study.id()), answers, ..Self::default() }
    }
}

/// The first bar in which an answer differs from the lesson; the first of all where nothing does.
pub fn first_bar(study: &Study, answer: &Suggestion) -> usize {
    let (now, theirs) = (study.analysis(), answer.study.analysis());
    let stroke = |bowed: &Bowed| (bowed.note, bowed.direction, bowed.reached);
    let mut pairs = now.bowing.notes.iter().zip(&theirs.bowing.notes);
    let apart = pairs.find(|(now, theirs)| stroke(now) != stroke(theirs));
    let at = apart.and_then(|(bowed, _)| now.line.notes.get(bowed.note)).map(|note| note.onset);
    at.and_then(|at| study.lesson().score.bar_at(at)).unwrap_or(0)
}
