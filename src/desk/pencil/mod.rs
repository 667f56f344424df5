//! The pencil marks as a list that goes along with the music.

mod card;
pub mod panel;
mod row;
