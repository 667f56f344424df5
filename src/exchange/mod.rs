//! Files in and out: the lesson file, MusicXML read in, and the players a teacher keeps.

mod contradiction;
pub mod diagnostic;
pub mod lesson_file;
pub mod musicxml;
mod opening;
pub mod profiles;

pub use diagnostic::sentence;
pub use opening::{LIMIT, OpenError, Opened, UNTOLD, open, open_file};
