//! Work in the background.

pub mod job;
pub mod remedies;
