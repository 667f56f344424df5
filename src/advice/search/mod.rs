//! Suggest a bowing: a search over directions, retakes, slurs and hooks.
//!
//! Every bowing that is judged is written as an edit, applied and analysed as if a person had made
//! it; what is compared is [`weight`] of what comes out. Few bowings are tried out in full. Of many,
//! dynamic programming (`paths`) picks those worth trying, and the best of these are then
//! improved note by note. Then all others are gone through, but for those that a bound (`bound`) shows
//! to be no better, until they are too many. On passages of twelve notes that finds the best of all
//! but where the bow must run out several times (`tests/search.rs` and `tests/search_bounds.rs`);
//! on long ones it is a good bowing, not proven to be the best.
//! Where few notes of a long part are chosen, the search is made in the music around them, and the
//! best that come of it are weighed in the whole part.

mod bound;
mod excerpt;
mod field;
mod paths;
mod trials;
mod words;

use std::collections::BTreeSet;

use crate::{
    advice::{Difference, Standing},
    analysis::Analysis,
    lesson::{Edit, Lesson},
    score::EventId,
};

use excerpt::{AROUND, Excerpt};
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
    /// Every change of the marks, in the order of the music.
    pub changes: Vec<Difference>,
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
    /// The same of the notes that were asked about.
    pub here: Standing,
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
const MARK: f64 = 0.1;
/// A retake without a rest breaks the sound, a hook stops it. Assumed; about the worth of a strong
/// beat on a down-bow and half of it.
const RETAKE: f64 = 0.35;
const HOOK: f64 = 0.15;

/// What a search makes as small as it can: the burden of the lesson, plus a little for each changed
/// mark, for each retake that takes its time from a note, and for each stop in a bow.
pub fn weight(analysis: &Analysis, after: &Standing, marks_changed: usize) -> f64 {
    let retakes = analysis.bowing.notes.iter().filter(|note| note.stolen_s > 0.0).count();
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
    suggest_within(lesson, analysis, ask, AROUND, keep_going)
}

/// Part of the work that is done in an excerpt, for telling how far it is. Assumed.
const EXCERPT_PART: f64 = 0.8;

fn suggest_within(
    lesson: &Lesson,
    analysis: &Analysis,
    ask: &Ask,
    around: usize,
    keep_going: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Suggestion>, SearchError> {
    if !(1..=5).contains(&ask.answers) {
        return Err(SearchError::Answers);
    }
    let chosen = |id: &EventId| ask.events.as_ref().is_none_or(|events| events.contains(id));
    if !(0..analysis.bowing.notes.len()).any(|k| analysis.note(k).events.iter().any(chosen)) {
        return Err(SearchError::NothingToBow);
    }
    let field = Field::new(lesson, analysis, ask.events.as_ref(), ask.freedom);
    if field.is_settled() {
        return Err(SearchError::NothingToChoose);
    }
    let excerpt = ask.events.as_ref().and_then(|events| Excerpt::of(lesson, analysis, events, around));
    let found = match &excerpt {
        Some(excerpt) => {
            let within = Field::new(&excerpt.lesson, &excerpt.analysis, ask.events.as_ref(), ask.freedom);
            let mut part = |share: f64| keep_going(EXCERPT_PART * share);
            let mut trials = Trials::new(&excerpt.lesson, &excerpt.analysis, &within, &mut part);
            trials.search()?;
            trials.best().map(|bowing| excerpt.in_part(field.present(), bowing)).collect()
        }
        None => Vec::new(),
    };
    let done = if excerpt.is_some() { EXCERPT_PART } else { 0.0 };
    let mut rest = |share: f64| keep_going(done + (1.0 - done) * share);
    let mut trials = Trials::new(lesson, analysis, &field, &mut rest);
    match excerpt {
        Some(_) => trials.try_all(found)?,
        None => trials.search()?,
    }
    let picked = trials.pick(ask.answers);
    let answers = picked.iter().filter_map(|tried| trials.suggestion(tried)).collect();
    Ok(words::explain(lesson, analysis, ask.events.as_ref(), answers))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        analysis::analyse,
        lesson::{Writer, change::new_passage},
        score::{Dynamic, NoteValue, Pitch, Quarters, SignKind, TimeSignature},
        setup::Family,
    };

    /// Bars of a dotted half and a quarter, the fifth of every eight slurred over to the next bar.
    fn long_part(bars: usize) -> (Lesson, Vec<EventId>) {
        let violin = Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 72.0));
        let written = (0..2 * bars).fold(violin, |writer, k| {
            let value = if k % 2 == 0 { NoteValue::HALF.dotted() } else { NoteValue::QUARTER };
            let writer = writer.pitches(&[Pitch::from_midi(69 + (k % 5) as i32, false)], value);
            if k % 16 == 10 { writer.slur(3) } else { writer }
        });
        written.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::F)).finish().unwrap()
    }

    #[test]
    fn a_search_in_an_excerpt_answers_as_one_in_the_whole_part() {
        let (lesson, ids) = long_part(32);
        let analysis = analyse(&lesson);
        let (mut changed, mut told) = (0, 0.0);
        for (from, freedom) in [(24, Freedom::Splits), (37, Freedom::Directions), (24, Freedom::Free)] {
            let events: BTreeSet<EventId> = ids[from..from + 5].iter().copied().collect();
            assert!(Excerpt::of(&lesson, &analysis, &events, 12).is_some());
            let ask = Ask { events: Some(events), freedom, answers: 1 };
            let mut answer = |around| {
                let mut last = 0.0;
                let answers = suggest_within(&lesson, &analysis, &ask, around, &mut |share| {
                    assert!((0.0..=1.0).contains(&share) && share >= last, "{share} after {last}");
                    last = share;
                    true
                });
                told = last;
                answers.unwrap().swap_remove(0)
            };
            let (within, whole) = (answer(12), answer(ids.len()));
            assert_eq!(within.edit, whole.edit, "{} / {}", within.headline, whole.headline);
            assert_eq!(within.weight(), whole.weight());
            changed += within.marks_changed;
        }
        assert!(changed > 0 && told > 0.0, "nothing was ever changed");
    }
}
