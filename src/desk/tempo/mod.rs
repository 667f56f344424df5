//! What works at which tempo, and the figures of the music over its time.

pub mod curves;
pub mod ladder;
mod slow;
