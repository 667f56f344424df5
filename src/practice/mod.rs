//! Practising: the clock that moves the bow on the screen.

mod clock;

pub use clock::{Clock, next_after, next_before};
