//! Where on the bow each note starts and ends.
//!
//! [`Problem`] is the passage in numbers; [`corridor()`] says where the bow may be, [`solve`] plans the
//! best way through, and [`marked_path`] plays the wanted speeds with no foresight. [`bow`] and
//! [`problem()`] make a problem out of notes, [`findings()`] tells in words what came out.

mod directions;
mod findings;
mod strokes;
mod tones;
mod wants;

pub mod corridor;
pub mod marked;
pub mod plan;
pub mod problem;
#[cfg(test)]
mod tests;

pub use corridor::{Cause, Corridor, Impossible, Stretch, corridor};
pub use findings::{Evidence, Finding, Found, Kind, Spot, Verdict, findings, ranked, spots};
pub(crate) use findings::{heard_bend, heard_short};
pub(crate) use marked::NOTABLE_RUN_OUT_MM;
pub use marked::{Drift, MarkedPath, RunOut, marked_path};
pub use plan::{Solution, solve};
pub use problem::{End, Fault, Join, Piece, Pin, PlanError, Problem, Weights, cost};
pub(crate) use strokes::HOOK_SOUNDING;
pub use strokes::{Bowed, Reached, STOPPED_FROM_S, Stroke, Swell, bow, is_stopped, strokes, swells};
pub use tones::{speed_ratio, tones};
pub use wants::problem;
