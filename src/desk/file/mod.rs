//! Files: reading and asking for a path off the window's thread, and the windows that ask.

pub mod tasks;
pub mod windows;
