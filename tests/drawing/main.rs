//! Drawings: what is on them, whether all of it is on the page, and whether they are as they were.

#[path = "../common/data.rs"]
mod data;

mod arm_figure;
mod film;
mod handout;
mod overlaps;
mod passage;
mod picture_real;
mod snapshots;
