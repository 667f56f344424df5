//! What works at which tempo.

pub mod ladder;
