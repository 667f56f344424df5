//! One thing that differs between two lessons.

use crate::score::{EventId, Quarters};

/// One thing that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Where in the music.
    pub at: Quarters,
    /// The written note it is about, where it is about one.
    pub event: Option<EventId>,
    /// The place in words: "bar 8, beat 3".
    pub place: String,
    /// What differs: "down-bow instead of up-bow".
    pub words: String,
}
