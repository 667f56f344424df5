//! What a player should know before playing: where the bow cannot go, where it runs out, where it
//! is tight, and where a rule of thumb speaks against the bowing.
//!
//! Every rule tells all its spots; [`Findings::new`] then leaves one finding for one cause.

mod bounce;
mod chords;
mod direction;
mod figures;
mod finding;
mod gather;
mod hair;
mod hand;
mod kinds;
mod levels;
mod lifts;
mod notices;
mod said;
mod speed;
mod tone;

pub use finding::{Finding, Spot, Verdict, spots};
pub use gather::{Findings, ranked};
pub(crate) use hair::heard_short;
pub use kinds::Kind;
pub(crate) use said::heard_bend;
