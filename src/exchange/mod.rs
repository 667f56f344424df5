//! Files in and out: the lesson file, and MusicXML read in.

pub mod diagnostic;
pub mod lesson_file;
pub mod musicxml;
