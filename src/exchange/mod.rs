//! Files in and out: MusicXML and the lesson file.

pub mod lesson_file;
