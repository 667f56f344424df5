//! Levels, the arm, and notes that sound together.

pub mod cache;
pub mod class;
pub mod figure;
pub mod level;
pub mod shown;
pub mod together;
