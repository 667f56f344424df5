//! Advice: what to change in a lesson, tried for real.
//!
//! Everything here applies an edit to a copy, analyses the copy, and says what is left.

mod standing;

pub use standing::{Standing, marks_changed};
