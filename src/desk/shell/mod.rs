//! The frame of the window: what stands where, and what carries out what was asked for.

pub mod apply;
pub mod lower;
pub mod open_save;
pub mod top_bar;
