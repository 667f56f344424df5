//! From notes to strokes, plan, tone, findings and pencil marks.

#[path = "../common/conic.rs"]
mod conic;
#[path = "../common/data.rs"]
mod data;
#[path = "../common/music.rs"]
mod music;
#[path = "../common/random.rs"]
mod random;

mod bowing;
mod findings;
mod pencil;
mod plan_properties;
mod plan_real;
mod plan_reference;
mod tone;
mod why;
mod words;
