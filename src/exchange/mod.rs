//! Files in and out: the lesson file, MusicXML read in and written, and the book of pupils a teacher keeps.
//!
//! ```
//! use elbowroom::{
//!     exchange::{lesson_file, musicxml},
//!     lesson::Lesson,
//!     setup::Family,
//! };
//!
//! let xml = "<score-partwise>
//!   <part-list><score-part id='P1'><part-name>Violin</part-name></score-part></part-list>
//!   <part id='P1'><measure number='1'>
//!     <attributes><divisions>1</divisions></attributes>
//!     <note><pitch><step>A</step><octave>4</octave></pitch><duration>4</duration></note>
//!   </measure></part>
//! </score-partwise>";
//! let document = musicxml::open(xml.as_bytes())?;
//! let part = document.read(document.likely_part())?;
//! for remark in &part.diagnostics {
//!     println!("{remark}");
//! }
//! let lesson = Lesson::new(part.score, part.instrument.unwrap_or(Family::Viola));
//! assert_eq!(lesson.setup.instrument.family, Family::Violin);
//! let saved = lesson_file::write(&lesson)?;
//! assert_eq!(lesson_file::read(&saved)?, lesson);
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

pub mod book;
pub mod diagnostic;
mod folders;
pub mod lesson_file;
mod limit;
pub mod musicxml;
mod opening;
pub mod saving;
pub mod score_file;
pub mod unsaved;
pub mod versions;

pub use diagnostic::sentence;
pub use folders::{data_folder, settings_folder};
pub use limit::{LIMIT, ReadError, read_file, read_own};
pub use opening::{OpenError, Opened, UNTOLD, open, open_file};
