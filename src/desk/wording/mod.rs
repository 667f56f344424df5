//! The passage in words: the list that goes along with the music, and own words in it.

pub mod panel;
