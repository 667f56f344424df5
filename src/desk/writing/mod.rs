//! Writing music: the piece and its bars, notes typed one after another.

pub mod ask;
pub mod exercises;
pub mod fingerboard;
pub mod piece;
pub mod scale;
pub mod strip;
pub mod typing;
pub mod warm_up;
