//! Drawings: what is on them, and whether all of it is on the page.

#[path = "../common/data.rs"]
mod data;

mod arm_figure;
mod picture_real;
