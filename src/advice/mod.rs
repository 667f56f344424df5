//! Advice: what to change in a lesson, tried for real.
//!
//! Everything here applies an edit to a copy, analyses the copy, and says what is left.
//!
//! ```
//! use elbowroom::{advice::remedies, analysis::Study, bowing::Verdict, lesson::demo::demo};
//!
//! let study = Study::new(demo());
//! let told = &study.analysis().findings.told;
//! let finding = told.iter().find(|finding| finding.verdict == Verdict::RunsOut);
//! let finding = finding.expect("in the demo the bow runs out");
//! let found = remedies(&study, finding);
//! for remedy in &found {
//!     println!("{}: {}", remedy.trial.words, remedy.effect);
//! }
//! // The best one, taken: one step, which can be undone.
//! let best = found.first().expect("something helps");
//! let (lesson, undo) = best.trial.edit.apply(study.lesson()).expect("it was tried");
//! assert_eq!(&lesson, best.study.lesson());
//! assert_eq!(&undo.apply(&lesson).expect("it leads back").0, study.lesson());
//! ```

mod difference;
mod remedy;
pub mod search;
mod standing;
mod tempo;

pub use difference::{Difference, SameBars, changed_marks, compare, marks_changed, notes_with_changed_marks};
pub use remedy::{Change, Outcome, Remedy, Trial, each_remedy, rank, remedies, trials, try_out};
pub use search::{Ask, Freedom, SearchError, Suggestion, lightest, suggest};
pub use standing::{Changed, Standing};
pub use tempo::{
    Band, Ladder, LadderGroup, LadderPlace, LadderSpot, Rung, RungSpot, SlowPractice, SlowSpot, ladder,
    ladder_shares, longest_bounce,
};
