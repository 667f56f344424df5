//! The window, driven without a screen.

mod harness;
#[path = "../common/music.rs"]
mod music;

mod files;
mod panels;
