//! Writing music: the piece and its bars, notes typed one after another.

pub mod piece;
pub mod strip;
pub mod typing;
