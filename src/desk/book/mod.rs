//! The lesson book: pupils, their lessons, what was reached.

pub mod window;
mod writing;

use std::path::Path;

use jiff::civil::Date;

use crate::{desk::file::book::Read, lesson::Lesson};

/// What the window reads.
pub struct BookInput<'a> {
    /// The book, or why it cannot be read; none while it is read.
    pub read: Option<Result<&'a Read, &'a str>>,
    /// The folder it is in; none where there is none on this machine.
    pub folder: Option<&'a Path>,
    /// The lesson on the desk, and its file.
    pub lesson: &'a Lesson,
    /// Where it was opened or saved.
    pub file: Option<&'a Path>,
    /// Its practice tempo and its marked tempo at the playhead, quarter notes a minute.
    pub tempo: (u16, u16),
    /// Today.
    pub today: Date,
}
