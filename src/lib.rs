//! Elbowroom plans the bow for players and teachers of violin, viola, cello and double bass.
//!
//! One way through: a file or an edit gives a lesson, `analyse` gives its analysis, pictures are
//! made from both, and screen, SVG, PDF and PNG show the same pictures.
//!
//! ```
//! use elbowroom::{Study, lesson::{change, demo::demo}};
//!
//! let study = Study::new(demo());
//! let found = &study.analysis().findings.told;
//! assert_eq!(found[0].title(), "Bar 8: 2 notes in one bow are too long for it");
//!
//! // The second of them gets a bow of its own.
//! let slur = study.lesson().score.slurs.iter().find(|slur| slur.from == found[0].event);
//! let edit = change::split_slur(study.lesson(), slur.expect("they are slurred").to)?;
//! let (lesson, undo) = edit.apply(study.lesson())?;
//! let after = study.with(lesson);
//! assert!(after.analysis().findings.told.iter().all(|finding| finding.kind != found[0].kind));
//! assert_eq!(undo.apply(after.lesson())?.0, *study.lesson());
//! # Ok::<(), elbowroom::lesson::EditError>(())
//! ```
//!
//! The features `cli` (the commands) and `desk` (the window) are on by default; without them
//! (`default-features = false`) neither is built, nor what only they need.

pub mod advice;
pub mod analysis;
pub mod arm;
pub mod bowing;
#[cfg(feature = "cli")]
pub mod cli;
#[cfg(feature = "desk")]
pub mod desk;
pub mod exchange;
pub mod figure;
pub mod lesson;
pub mod picture;
pub mod practice;
pub mod score;
pub mod setup;
pub mod sound;
pub mod tone;

pub use advice::{remedies, suggest};
pub use analysis::{Analysis, Study, analyse};
pub use exchange::{Opened, open_file};
pub use lesson::{Edit, Lesson};
pub use score::Score;
pub use setup::{Family, Setup};
