//! The tempo ladder: what works at which tempo, and what to practise where a stroke cannot be slow.

mod bands;
mod groups;
mod ladder;
mod slow;
mod spots;
mod strokes;

pub use bands::Band;
pub use groups::{LadderGroup, LadderPlace};
pub use ladder::{Ladder, ladder, ladder_shares};
pub use slow::{SlowPractice, SlowSpot, longest_bounce};
pub use spots::{LadderSpot, Rung, RungSpot};
