//! What panels are made of: drawings on the screen, looks, signs.

pub mod controls;
pub mod painter;
pub mod plot;
pub mod rows;
pub mod signs;
pub mod theme;
pub mod typed;
pub mod words;
