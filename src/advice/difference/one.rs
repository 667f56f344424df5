//! One thing that differs between two lessons.

use crate::score::{EventId, Quarters};

/// One thing that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// Where in the music; at its start where it is about all of it.
    pub at: Quarters,
    /// It is about the whole lesson: the set-up, the practice tempo.
    pub everywhere: bool,
    /// The written note it is about, where it is about one.
    pub event: Option<EventId>,
    /// The place in words: "bar 8, beat 3"; "set-up".
    pub place: String,
    /// What differs: "down-bow instead of up-bow".
    pub words: String,
}
