//! The window, driven without a screen.

mod harness;
#[path = "../common/music.rs"]
mod music;

mod book;
mod curves;
mod exercises;
mod files;
mod film;
mod handout;
mod keeping;
mod panels;
mod pencil;
mod playing;
mod quickly;
mod wording;
mod writing;
