//! The window, driven without a screen.

mod harness;
#[path = "../common/music.rs"]
mod music;

mod curves;
mod files;
mod handout;
mod keeping;
mod panels;
mod pencil;
mod playing;
mod quickly;
mod wording;
mod writing;
