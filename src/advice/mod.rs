//! Advice: what to change in a lesson, tried for real.
//!
//! Everything here applies an edit to a copy, analyses the copy, and says what is left.

mod lengths;
mod remedies;
mod standing;
mod step;
mod told;
mod trials;

pub use remedies::{Remedy, Trial, rank, remedies, trials, try_out};
pub use standing::{Standing, marks_changed};
