//! Practising: the clock that moves the bow on the screen, and exercises made from a passage.

mod clock;
mod first;
mod ladder;

pub use clock::{Clock, next_after, next_before};
pub use first::first_double_stops;
pub use ladder::{MOST as MOST_DOUBLE_STOPS, double_stop_ladder, double_stops};
