//! Speed, weight and sounding point: what keeps the dynamic when the bow has to go faster or slower
//! than it would like.
//!
//! [`string`] holds the published formulas of the bowed string; [`judge()`] weighs one note with
//! them, and [`ToneNote`] tells it in steps and words. Pressing numbers out of this would be false
//! precision: real strings leave the formulas by a factor of two.

mod judge;
mod shared;
pub mod string;
mod words;

pub use judge::{Asked, Keeps, Span, Tone, ToneNote, judge};
pub use shared::{Core, StringShare, shared_weight, weight_on};
pub use string::PLAYING_SPAN;
pub use words::{LANES, Shift, WEIGHTS};
