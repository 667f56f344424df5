//! Files: reading, asking for a path and keeping unsaved work off the window's thread, and the windows
//! that ask.

pub mod book;
pub mod keeper;
pub mod left;
pub mod report;
pub mod tasks;
pub mod versions;
pub mod windows;
