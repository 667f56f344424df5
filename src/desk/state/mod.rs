//! What the window holds: the lesson with its steps, what is chosen and shown, what is remembered.

pub mod history;
pub mod memory;
pub mod offer;
pub mod view;
