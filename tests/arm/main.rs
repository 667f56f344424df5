//! The bow arm and the left hand.

#[path = "../common/data.rs"]
mod data;
#[path = "../common/music.rs"]
mod music;
#[path = "../common/random.rs"]
mod random;

mod arm_model;
mod clearances;
mod hand_real;
mod strings_real;
