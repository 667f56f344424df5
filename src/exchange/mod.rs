//! Files in and out: the lesson file, MusicXML read in, and the players a teacher keeps.

pub mod diagnostic;
pub mod lesson_file;
pub mod musicxml;
pub mod profiles;
