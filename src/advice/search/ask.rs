//! What is asked of a search, and why it may have no answer.

use std::collections::BTreeSet;

use crate::score::EventId;

/// What a search may change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, strum::EnumIter)]
pub enum Freedom {
    /// Only directions and retakes.
    Directions,
    /// Also hook notes, and split slurs that want more than a bow.
    Splits,
    /// Also split any slur, and join notes in one bow.
    Free,
}

/// What is asked of a search.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// The written notes that may be bowed anew; the whole part if not given.
    pub events: Option<BTreeSet<EventId>>,
    /// What may be changed on them.
    pub freedom: Freedom,
    /// How many answers, 1 to 5.
    pub answers: usize,
}

/// Why there is no suggestion.
#[derive(Clone, Copy, Debug, PartialEq, Eq, thiserror::Error)]
pub enum SearchError {
    /// It was told to stop.
    #[error("the search was stopped")]
    Cancelled,
    /// No bowed notes.
    #[error("there is nothing to bow here: the chosen notes are plucked, rests, or not played")]
    NothingToBow,
    /// All notes are settled, or this freedom leaves nothing to change.
    #[error("there is nothing to choose here: the bowing is settled, or this freedom allows no other")]
    NothingToChoose,
    /// The number of answers is not 1 to 5.
    #[error("ask for 1 to 5 answers")]
    Answers,
}
