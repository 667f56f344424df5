//! Practising: the clock that moves the bow on the screen and counts in, and exercises made from a passage.
//!
//! ```
//! use elbowroom::{
//!     analysis::Study,
//!     lesson::demo::demo,
//!     practice::{Clock, double_stop_ladder, double_stops},
//! };
//!
//! let study = Study::new(demo());
//! // Every double stop of the passage, each led up to step by step.
//! let stops = double_stops(&study);
//! let exercise = double_stop_ladder(study.lesson(), &stops).expect("they lie in the hand");
//! assert!(exercise.score.bars.len() > stops.len());
//!
//! // Two seconds of the music again and again.
//! let mut clock = Clock::new(study.analysis().total_s());
//! clock.set_span(Some((1.0, 3.0)), 0.0);
//! clock.play(0.0);
//! assert_eq!(clock.tick(0.5).position, 1.5);
//! assert_eq!(clock.tick(2.5).position, 1.5, "the second round");
//! ```

mod card;
mod clock;
mod first;
pub mod handout;
mod ladder;
pub mod metre;
mod passage;
mod piece_scale;
mod scale;
mod sheet;
mod stopped;
mod warm_up;
mod way;
mod words;

pub use card::Card;
pub use clock::{Clock, Counting, Doing, Pace, Stretch, Tick, next_after, next_before};
pub use first::first_double_stops;
pub use ladder::{MOST as MOST_DOUBLE_STOPS, double_stop_ladder, double_stops};
pub use metre::CountIn;
pub use passage::{Practised, passage_exercise};
pub use piece_scale::{movement, tonic};
pub use scale::{Scale, ScaleWish, scale_lesson};
pub use warm_up::{MINUTES, USUAL_MINUTES, WarmUpPart, Warming, warm_up_parts};
pub use way::way_through;
pub use words::{ALIKE, Claim, Own, Passage, Phrase, SLOW_SHARE, Says, Sentence, Tempos};
