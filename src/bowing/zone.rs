//! The parts of the bow as players name them.

use std::ops::RangeInclusive;

/// A part of the bow as players name it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Zone {
    /// The part held by the hand.
    Frog,
    /// Between frog and middle.
    LowerHalf,
    /// The middle.
    Middle,
    /// Between middle and tip.
    UpperHalf,
    /// The far end.
    Tip,
}

impl Zone {
    /// By the share of the hair from the frog. Common practice, no source; the borders are assumed.
    pub fn of(share: f64) -> Self {
        match share {
            ..0.2 => Self::Frog,
            ..0.42 => Self::LowerHalf,
            ..0.58 => Self::Middle,
            ..0.8 => Self::UpperHalf,
            _ => Self::Tip,
        }
    }

    /// "frog", to be written over a note.
    pub fn word(self) -> &'static str {
        match self {
            Self::Frog => "frog",
            Self::LowerHalf => "lower half",
            Self::Middle => "middle",
            Self::UpperHalf => "upper half",
            Self::Tip => "tip",
        }
    }

    /// "at the frog", "in the lower half".
    pub(super) fn there(self) -> &'static str {
        match self {
            Self::Frog => "at the frog",
            Self::LowerHalf => "in the lower half",
            Self::Middle => "about the middle",
            Self::UpperHalf => "in the upper half",
            Self::Tip => "near the tip",
        }
    }

    /// "to the frog", "to the lower half".
    pub(super) fn to_there(self) -> &'static str {
        match self {
            Self::Frog => "to the frog",
            Self::LowerHalf => "to the lower half",
            Self::Middle => "to the middle",
            Self::UpperHalf => "to the upper half",
            Self::Tip => "toward the tip",
        }
    }

    /// Who stays in it is in these places, as shares of the hair from the frog. The halves reach to the middle, and
    /// all a little farther than where a note that starts there may start. Common practice, no source; the borders
    /// are assumed.
    pub fn around(self) -> RangeInclusive<f64> {
        match self {
            Self::Frog => 0.0..=0.25,
            Self::LowerHalf => 0.0..=0.55,
            Self::Middle => 0.3..=0.7,
            Self::UpperHalf => 0.45..=1.0,
            Self::Tip => 0.75..=1.0,
        }
    }
}

/// The parts of the bow that words name, in their order.
pub(crate) fn places_in(words: &str) -> Vec<Zone> {
    const ALL: [Zone; 5] = [Zone::Frog, Zone::LowerHalf, Zone::Middle, Zone::UpperHalf, Zone::Tip];
    let mut found: Vec<(usize, Zone)> =
        ALL.iter().flat_map(|zone| words.match_indices(zone.word()).map(|(at, _)| (at, *zone))).collect();
    found.sort_unstable();
    found.into_iter().map(|(_, zone)| zone).collect()
}
