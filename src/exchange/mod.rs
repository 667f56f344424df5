//! Files in and out: the lesson file, MusicXML read in, and the players a teacher keeps.

mod contradiction;
pub mod diagnostic;
pub mod lesson_file;
mod limit;
pub mod musicxml;
mod opening;
pub mod profiles;

pub use diagnostic::sentence;
pub use limit::LIMIT;
pub use opening::{OpenError, Opened, UNTOLD, open, open_file};
