//! The set-up window: instrument, player, school.

pub mod arm;
pub mod figure;
pub mod rules;
pub mod window;
