//! Where on the bow each note starts and ends.
//!
//! [`Problem`] is the passage in numbers; [`corridor()`] says where the bow may be, [`solve`] plans the
//! best way through, and [`run_outs()`] tell where the hair ends without looking ahead. [`bow`] and
//! [`problem()`] make a problem out of notes, [`Findings`] tell in words what does not work as
//! marked, [`Pencil`] what a teacher would write over the notes.
//!
//! ```
//! use elbowroom::{
//!     bowing::{Bowing, Plan, problem},
//!     lesson::demo::demo,
//!     score::Line,
//! };
//!
//! let lesson = demo();
//! let line = Line::new(&lesson.score);
//! let bowing = Bowing::new(&lesson.score, &line, &lesson.setup);
//! let problem = problem(&lesson.score, &lesson.setup, &lesson.pins, &line, &bowing);
//! let plan = Plan::new(problem, None);
//! for stroke in &bowing.strokes {
//!     let (start_mm, _) = plan.places_mm(stroke.notes.start);
//!     let (_, end_mm) = plan.places_mm(stroke.notes.end - 1);
//!     println!("{} from {start_mm:.0} to {end_mm:.0} mm", stroke.direction.bow_word());
//!     // A down-bow goes toward the tip, an up-bow toward the frog.
//!     assert!(stroke.direction.sign() * (end_mm - start_mm) >= 0.0);
//! }
//! ```

mod arm_path;
mod bowed_line;
mod directions;
mod evidence;
mod findings;
mod pencil;
mod planned;
mod player;
mod run_outs;
mod strokes;
mod tones;
mod wants;
mod why;
mod zone;

pub mod corridor;
pub mod plan;
pub mod problem;
#[cfg(test)]
mod tests;

pub use arm_path::ArmPath;
pub use bowed_line::{Bowing, Swell};
pub use corridor::{Cause, Corridor, Impossible, Stretch, corridor};
pub(crate) use directions::Lean;
pub use evidence::Evidence;
pub use findings::{Finding, Findings, Kind, Spot, Verdict, ranked, spots};
pub(crate) use findings::{heard_bend, heard_short};
pub use pencil::{Density, Need, Pencil, PencilMark, Topic};
pub(crate) use pencil::{a_bow, as_fast, part_words, place_word, there};
pub use plan::{Planned, Solution, solve, solve_after};
pub use planned::Plan;
pub use problem::{End, Fault, Join, Piece, Pin, PlanError, Problem, Weights, cost};
pub use run_outs::{RunOut, UNSEEN, run_outs};
pub use strokes::{Bowed, Reached, STOPPED_FROM_S, Stroke, bow, strokes};
pub(crate) use strokes::{hook_sounding_s, leans};
pub use tones::{Tones, asked};
pub use wants::problem;
pub(crate) use wants::{Eager, eager, liked};
pub use why::{Because, Reasons, Why};
pub use zone::Zone;
pub(crate) use zone::places_in;
