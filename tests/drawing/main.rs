//! Drawings.

mod passage;
mod snapshots;
