//! Suggest a bowing: a search over directions, retakes, slurs and hooks.
//!
//! Every bowing that is judged is written as an edit, applied and analysed as if a person had made
//! it; what is compared is [`Standing::weight`](super::Standing::weight) of what comes out. Few bowings
//! are tried out in full. Of many, dynamic programming (`paths`) picks those worth trying, beside the ways
//! that a player thinks of first (`ways`), and the best of these are then improved note by note
//! (`improve`). Then all others are gone through (`rest`), but for those that a bound (`bound`) shows to be
//! no better, until they are too many. On passages of twelve notes that finds the best of all but where the
//! bow must run out several times (`tests/advising/search.rs` and `search_bounds.rs`); on long ones, and
//! where no bound holds (grace notes), it is a good bowing, not proven to be the best.
//!
//! What lies on the string with the chosen notes turns with them ([`Field`]): the bow is turned in a rest.
//! What is told of all that was tried, and in which order, is another question than what weighs least: what a
//! player takes (`liking`).
//! Directions are weighed as where none are marked ([`crate::setup::Leanings`]): one judgement for both.
//! Where few notes of a long part are chosen, the search is made in the music around them, and the
//! best that come of it are weighed in the whole part.

mod answer;
mod ask;
mod bound;
mod choice;
mod excerpt;
mod field;
mod figures;
mod improve;
mod liking;
mod paths;
mod pick;
mod rest;
mod run;
mod tried;
mod ways;
mod words;
mod write;

pub use answer::Suggestion;
pub use ask::{Ask, Freedom, SearchError};
pub use choice::{Choice, Choices, Link};
pub use field::Field;

use crate::{analysis::Study, score::EventId};

use excerpt::{AROUND, Excerpt};
use tried::{Pool, Tried};

/// Suggests bowings, those first that a player takes most readily. There are fewer than asked for where no other would
/// be taken.
///
/// The bowing as it is competes too, with an empty edit: it is among the answers where there is room for two, and the
/// first where nothing is clearly better. What weighs least is the first where the bow runs out less often with it.
/// The same lesson and question always have the same answers. `keep_going` is given the share that is done, 0 to 1, and
/// stops the search by `false`.
///
/// # Errors
/// See [`SearchError`].
pub fn suggest(
    study: &Study,
    ask: &Ask,
    keep_going: &mut dyn FnMut(f64) -> bool,
) -> Result<Vec<Suggestion>, SearchError> {
    if !(1..=5).contains(&ask.answers) {
        return Err(SearchError::Answers);
    }
    let picked = found(study, ask, AROUND, keep_going, &|pool| pick::answers(pool, ask.answers))?;
    Ok(words::explain(study, ask.events.as_ref(), picked))
}

/// The bowing that weighs least ([`Standing::weight`](super::Standing::weight)) of all that are found, the present one
/// where none weighs less.
///
/// # Errors
/// See [`SearchError`].
pub fn lightest(
    study: &Study,
    ask: &Ask,
    keep_going: &mut dyn FnMut(f64) -> bool,
) -> Result<Suggestion, SearchError> {
    lightest_within(study, ask, AROUND, keep_going)
}

fn lightest_within(
    study: &Study,
    ask: &Ask,
    around: usize,
    keep_going: &mut dyn FnMut(f64) -> bool,
) -> Result<Suggestion, SearchError> {
    let lightest = found(study, ask, around, keep_going, &pick::lightest)?;
    words::explain(study, ask.events.as_ref(), lightest).pop().ok_or(SearchError::NothingToChoose)
}

/// Part of the work that is done in an excerpt, for telling how far it is. Assumed.
const EXCERPT_PART: f64 = 0.8;

/// What is picked of all that is tried, in the music so many strokes around where the part is long.
fn found(
    study: &Study,
    ask: &Ask,
    around: usize,
    keep_going: &mut dyn FnMut(f64) -> bool,
    pick: &dyn Fn(&Pool) -> Vec<Suggestion>,
) -> Result<Vec<Suggestion>, SearchError> {
    let analysis = study.analysis();
    let chosen = |id: &EventId| ask.events.as_ref().is_none_or(|events| events.contains(id));
    if !(0..analysis.bowing.notes.len()).any(|k| analysis.note(k).events.iter().any(chosen)) {
        return Err(SearchError::NothingToBow);
    }
    let field = Field::new(study, ask.events.as_ref(), ask.freedom);
    if field.is_settled() {
        return Err(SearchError::NothingToChoose);
    }
    let excerpt = ask.events.as_ref().and_then(|events| Excerpt::of(study, events, around));
    let done = if excerpt.is_some() { EXCERPT_PART } else { 0.0 };
    let found: Option<(Vec<_>, Vec<_>)> = match excerpt {
        Some(excerpt) => {
            let within = Field::new(&excerpt.study, ask.events.as_ref(), ask.freedom);
            let mut part = |share: f64| keep_going(EXCERPT_PART * share);
            let mut pool = Pool::new(&within, &mut part);
            run::search(&mut pool)?;
            let best: Vec<&Tried> = pick::carried(&pool);
            let in_part = |tried: &Tried| excerpt.in_part(field.present(), &tried.bowing);
            let ways = best.iter().filter_map(|tried| Some((tried.way?, in_part(tried)))).collect();
            Some((ways, best.into_iter().map(in_part).collect()))
        }
        None => None,
    };
    let mut rest = |share: f64| keep_going(done + (1.0 - done) * share);
    let mut pool = Pool::new(&field, &mut rest);
    match found {
        Some((ways, all)) => {
            pool.try_ways(ways)?;
            pool.try_all(all)?;
        }
        None => run::search(&mut pool)?,
    }
    Ok(pick(&pool))
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeSet;

    use super::*;
    use crate::{
        lesson::{Lesson, Writer, change::new_passage},
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
        let (mut lesson, ids) = written.sign(Quarters::ZERO, SignKind::Dynamic(Dynamic::F)).finish().unwrap();
        // Hair in proportion to time, so that the long notes drift.
        let school = &mut lesson.setup.school;
        (school.short_stroke_mm_per_s, school.long_stroke_hair) = ([210.0; 8], [1e9; 8]);
        (lesson, ids)
    }

    #[test]
    fn a_search_in_an_excerpt_answers_as_well_as_one_in_the_whole_part() {
        let (lesson, ids) = long_part(64);
        let study = Study::new(lesson);
        let (mut changed, mut told) = (0, 0.0);
        for (from, freedom) in [(24, Freedom::Splits), (37, Freedom::Directions), (24, Freedom::Free)] {
            let events: BTreeSet<EventId> = ids[from..from + 5].iter().copied().collect();
            assert!(Excerpt::of(&study, &events, AROUND).is_some());
            let ask = Ask { events: Some(events), freedom, answers: 1 };
            let mut answer = |around| {
                let mut last = 0.0;
                let answer = lightest_within(&study, &ask, around, &mut |share| {
                    assert!((0.0..=1.0).contains(&share) && share >= last, "{share} after {last}");
                    last = share;
                    true
                });
                told = last;
                answer.unwrap()
            };
            let (within, whole) = (answer(AROUND), answer(ids.len()));
            // Of an excerpt more bowings can be tried.
            let (found, of_whole) = (within.weight(), whole.weight());
            assert!(
                found <= of_whole + 1e-9,
                "{}, {found} / {}, {of_whole}",
                within.headline,
                whole.headline
            );
            changed += within.changed.marks;
        }
        assert!(changed > 0 && told > 0.0, "nothing was ever changed");
    }
}
