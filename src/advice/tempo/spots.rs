//! What is found at which tempo, and where.

use crate::{
    bowing::Verdict,
    score::{EventId, Quarters},
};

use super::bands::Band;

/// What is found at one tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct Rung {
    /// Share of the marked tempo.
    pub share: f64,
    /// All places of findings worse than a notice, in the order of the findings.
    pub spots: Vec<RungSpot>,
}

/// One place of a finding at one tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct RungSpot {
    /// The written note.
    pub event: EventId,
    /// The place in words.
    pub place: String,
    /// First and last bar of the stroke it is in, as indices.
    pub bars: (usize, usize),
    /// How bad it is.
    pub verdict: Verdict,
}

/// A stroke that does not work at every tempo.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderSpot {
    /// First written note of the stroke.
    pub event: EventId,
    /// Where it starts.
    pub at: Quarters,
    /// The place in words.
    pub place: String,
    /// First and last bar it lies in, as indices.
    pub bars: (usize, usize),
    /// How it goes from the slowest tempo tried to the fastest.
    pub bands: Vec<Band>,
    /// What that means.
    pub words: String,
}
