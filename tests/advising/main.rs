//! What is advised: remedies, the search for a bowing, the tempo ladder.

#[path = "../common/data.rs"]
mod data;
mod lessons;
#[path = "../common/music.rs"]
mod music;
#[path = "../common/random.rs"]
mod random;

mod advice;
mod firsts;
mod search;
mod search_bounds;
mod search_ways;
