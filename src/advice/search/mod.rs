//! Suggest a bowing: a search over directions, retakes, slurs and hooks.
//!
//! Every bowing that is judged is written as an edit, applied and analysed as if a person had made
//! it; what is compared is [`weight`] of what comes out. Few bowings are tried out in full. Of many,
//! dynamic programming (`paths`) picks those worth trying, and the best of these are then
//! improved note by note. That finds the best of all on the short passages it was checked on
//! (every bowing tried, `tests/search.rs`); on long ones it is a good bowing, not proven to be the best.

mod field;
mod paths;
mod trials;
mod words;

use std::collections::BTreeSet;

use crate::{
    advice::Standing,
    analysis::Analysis,
    lesson::{Edit, Lesson},
    score::EventId,
};

pub use field::{Bowing, Field, Step, Way};
use trials::Trials;

/// What a search may change.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Freedom {
    /// Only directions and retakes.
    Directions,
    /// Also split slurs, and hook notes.
    Splits,
    /// Also join notes in one bow.
    Free,
}

/// What is asked of a search.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// The written notes that may be bowed anew; the whole part if not given.
    pub events: Option<BTreeSet<EventId>>,
    /// What may be changed on them.
    pub freedom: Freedom,
    /// How many answers, 1 to 5.
    pub answers: usize,
}

/// One bowing that the search suggests.
#[derive(Clone, Debug)]
pub struct Suggestion {
    /// What is changed, in a few words.
    pub headline: String,
    /// What is better and what is worse than now, and than in the other answers.
    pub reasons: Vec<String>,
    /// The change, to be applied to the lesson as one step; empty if the bowing stays as it is.
    pub edit: Edit,
    /// The lesson with it.
    pub lesson: Lesson,
    /// The analysis of that.
    pub analysis: Box<Analysis>,
    /// How the lesson stands then.
    pub after: Standing,
    /// How many marks differ from now.
    pub marks_changed: usize,
}

impl Suggestion {
    /// See [`weight`].
    pub fn weight(&self) -> f64 {
        weight(&self.analysis, &self.after, self.marks_changed)
    }
}

/// Why there is no suggestion.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SearchError {
    /// It was told to stop.
    #[error("the search was stopped")]
    Cancelled,
    /// No bowed notes.
    #[error("there is nothing to bow here: the chosen notes are plucked, rests, or not played")]
    NothingToBow,
    /// All notes are settled, or this freedom leaves nothing to change.
    #[error("there is nothing to choose here: the bowing is settled, or this freedom allows no other")]
    NothingToChoose,
    /// The number of answers is not 1 to 5.
    #[error("ask for 1 to 5 answers")]
    Answers,
}

/// A changed mark, beside the burden of a lesson. Assumed.
const MARK: f64 = 0.05;
/// A retake without a rest breaks the sound, a hook stops it. Assumed; about the worth of a strong
/// beat on a down-bow and half of it.
const RETAKE: f64 = 0.35;
const HOOK: f64 = 0.15;

/// What a search makes as small as it can: the burden of the lesson, plus a little for each changed
/// mark, for each retake that takes its time from a note, and for each stop in a bow.
pub fn weight(analysis: &Analysis, after: &Standing, marks_changed: usize) -> f64 {
    let retakes = analysis.bowed.iter().filter(|note| note.stolen_s > 0.0).count();
    let hooks = words::stops(analysis);
    after.burden() + MARK * marks_changed as f64 + RETAKE * retakes as f64 + HOOK * hooks as f64
}

/// Suggests bowings, the best first; each differs from the others in what it is good at.
///
/// The bowing as it is competes too: where nothing that was tried is better, it is the only answer,
/// with an empty edit. The same lesson and question always have the same answers. `keep_going` is
/// given the share that is done, 0 to 1, and stops the search by `false`.
///
/// # Errors
/// See [`SearchError`].
pub fn suggest(
    lesson: &Lesson,
    analysis: &Analysis,
    ask: &Ask,
    keep_going: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Suggestion>, SearchError> {
    if !(1..=5).contains(&ask.answers) {
        return Err(SearchError::Answers);
    }
    let chosen = |id: &EventId| ask.events.as_ref().is_none_or(|events| events.contains(id));
    if !analysis.bowed.iter().any(|note| analysis.line[note.note].events.iter().any(chosen)) {
        return Err(SearchError::NothingToBow);
    }
    let field = Field::new(lesson, analysis, ask.events.as_ref(), ask.freedom);
    if field.is_settled() {
        return Err(SearchError::NothingToChoose);
    }
    let mut trials = Trials::new(lesson, analysis, &field, keep_going);
    trials.search()?;
    let picked = trials.pick(ask.answers);
    let answers = picked.iter().filter_map(|tried| trials.suggestion(tried)).collect();
    Ok(words::explain(lesson, analysis, answers))
}
