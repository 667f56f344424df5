//! The set-up window: instrument, player, school.

pub mod arm;
mod dynamics;
pub mod figure;
pub mod rules;
pub mod window;
