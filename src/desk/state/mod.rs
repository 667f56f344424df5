//! What the window holds: the lesson with what was done to it, what is chosen and shown, what is
//! remembered. Nothing here draws.

pub mod files;
pub mod findings;
pub mod history;
pub mod kept;
pub mod memory;
pub mod now;
pub mod pencil;
pub mod place;
pub mod playing;
pub mod spacing;
pub mod steps;
pub mod view;
pub mod wording;
