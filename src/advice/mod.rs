//! Advice: what to change in a lesson, tried for real.
//!
//! Everything here applies an edit to a copy, analyses the copy, and says what is left.

mod difference;
mod remedy;
pub mod search;
mod standing;
mod tempo;

pub use difference::{Difference, changed_marks, compare, marks_changed, notes_with_changed_marks};
pub use remedy::{Change, Outcome, Remedy, Trial, each_remedy, rank, remedies, trials, try_out};
pub use search::{Ask, Freedom, SearchError, Suggestion, suggest};
pub use standing::Standing;
pub use tempo::{
    Band, Ladder, LadderGroup, LadderPlace, LadderSpot, Rung, RungSpot, SlowPractice, SlowSpot, ladder,
    ladder_shares,
};
