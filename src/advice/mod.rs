//! Advice: what to change in a lesson, tried for real.
//!
//! Everything here applies an edit to a copy, analyses the copy, and says what is left.

mod compare;
mod everywhere;
mod ladder;
mod marks;
mod places;
mod remedies;
pub mod search;
mod standing;
mod step;
mod told;
mod trials;

pub use compare::{Difference, compare};
pub use ladder::{
    Band, Ladder, LadderGroup, LadderPlace, LadderSpot, Rung, RungSpot, SlowPractice, SlowSpot, ladder,
};
pub use marks::changed_marks;
pub use remedies::{Change, Outcome, Remedy, Trial, each_remedy, rank, remedies, trials, try_out};
pub use search::{Ask, Freedom, SearchError, Suggestion, suggest};
pub use standing::{Standing, marks_changed, notes_with_changed_marks};
