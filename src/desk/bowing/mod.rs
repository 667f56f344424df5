//! The selected notes, their bowing and the bow.

mod answer;
pub mod bow;
pub mod inspector;
pub mod suggest;
