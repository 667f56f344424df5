//! Voices: what makes samples. Each is given what it has to do once every [`STEP`] frames and adds its samples
//! to a block; none of them allocates.

mod body;
mod bow;
mod click;
mod drone;
mod saw;

pub use body::Body;
pub use bow::{Bow, Drive, Voice};
pub use click::Click;
pub use drone::Drone;
pub use saw::Saws;

/// Frames for which a voice is told what to do: 0.7 ms at 48 kHz, shorter than any dent. Assumed.
pub const STEP: usize = 32;
