//! The bow arm: the bow planes of an instrument, which string and finger each note is played with,
//! and how the arm goes from level to level.

mod hand;
mod levels;
mod strings;
mod together;

pub use hand::{Finger, Hand};
pub use levels::{Level, LevelFan, Plane};
pub use strings::{Placement, place, places_alike};
pub use together::{PairPlane, Together, chord_seconds, together};
