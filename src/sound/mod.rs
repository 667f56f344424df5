//! What is heard: the click, the tones of the bow, a drone. A study gives [`Events`]; with a clock and what
//! is wished they make a [`Program`], which a [`Renderer`] turns into samples, block by block. The samples go
//! to a loudspeaker or into a file. All voices are made here; none is a recording.
//!
//! ```
//! use elbowroom::{
//!     analysis::Study,
//!     lesson::demo::demo,
//!     sound::{Track, Wishes},
//! };
//!
//! let study = Study::new(demo());
//! let mut track = Track::whole(&study, &Wishes::default(), 1);
//! let (frames, mut read) = (track.frames(), 0);
//! while let Some(samples) = track.next_samples() {
//!     read += samples.len() as u64;
//! }
//! assert_eq!(read, frames);
//! ```

mod events;
mod program;
mod renderer;
#[cfg(feature = "desk")]
pub mod speaker;
mod track;
mod tuning;
pub mod voice;
mod wishes;

pub use events::{Begins, Ends, Events, Loud, Manner, Tone};
pub use program::{Levels, Program};
pub use renderer::Renderer;
pub use track::{RATE, Rounds, Track, Wave, is_wave};
pub use tuning::{A4_HZ, Temper, Tuning};
pub use wishes::{Beats, Wishes};
