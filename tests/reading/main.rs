//! The music as the program has it: read from files, typed and changed by hand.

#[path = "../common/data.rs"]
mod data;
#[path = "../common/music.rs"]
mod music;
#[path = "../common/random.rs"]
mod random;

mod bad_files;
mod bounds;
mod import_reference;
mod lesson_properties;
mod lines;
mod musicxml_suite;
mod places;
mod slurs;
mod voices;
mod words;
mod writing;
mod written_reference;
