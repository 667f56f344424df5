//! Is what is heard right: pitch, bow, dynamics, time?

#[path = "../common/music.rs"]
mod music;

mod bow;
mod heard;
mod pitch;
mod speaker;
mod timing;
mod tracks;
