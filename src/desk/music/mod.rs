//! Staff, hair map and levels on one time axis.

mod hair_input;
mod input;
mod levels_hover;
mod overview;
pub mod panel;
mod pencil_input;
pub mod scene;
mod staff_input;

pub use input::MusicInput;
