//! The bow arm: the bow planes of an instrument, and which string each note is played on.

mod levels;
mod strings;

pub use levels::{Level, LevelFan, Plane};
pub use strings::{Placement, place, places_alike};
