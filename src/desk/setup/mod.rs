//! The set-up window: instrument, player, school.

pub mod arm;
mod dynamics;
pub mod figure;
mod pupil;
pub mod rules;
pub mod window;
