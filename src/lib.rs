//! Elbowroom plans the bow for players and teachers of violin, viola, cello and double bass.
//!
//! One way through: a file or an edit gives a lesson, `analyse` gives its analysis, pictures are
//! made from both, and screen, SVG, PDF and PNG show the same pictures.

pub mod advice;
pub mod analysis;
pub mod arm;
pub mod bowing;
#[cfg(feature = "cli")]
pub mod cli;
#[cfg(feature = "desk")]
pub mod desk;
pub mod exchange;
pub mod lesson;
pub mod picture;
pub mod practice;
pub mod score;
pub mod setup;
pub mod tone;
