//! Which positions of the left hand a player uses.

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use super::Family;

/// The highest position used, by the names of the trade.
#[derive(
    Clone,
    Copy,
    Debug,
    Default,
    PartialEq,
    Eq,
    PartialOrd,
    Ord,
    Hash,
    Serialize,
    Deserialize,
    EnumCount,
    VariantArray,
)]
#[expect(missing_docs, reason = "the names are the meaning")]
pub enum Positions {
    First,
    Third,
    Fourth,
    Fifth,
    Seventh,
    /// All but thumb position.
    WithoutThumb,
    #[default]
    All,
}

impl Positions {
    /// Those that make a difference on an instrument, lowest first.
    pub fn of(family: Family) -> impl Iterator<Item = Self> {
        // The thumb stays under the neck of violin and viola, so leaving it out is no choice there.
        let differs = move |positions: &Self| !(family.on_shoulder() && *positions == Self::WithoutThumb);
        Self::VARIANTS.iter().copied().filter(differs)
    }

    /// In words: "up to third position".
    pub fn words(self) -> &'static str {
        match self {
            Self::First => "half and first position",
            Self::Third => "up to third position",
            Self::Fourth => "up to fourth position",
            Self::Fifth => "up to fifth position",
            Self::Seventh => "up to seventh position",
            Self::WithoutThumb => "all but thumb position",
            Self::All => "all positions",
        }
    }

    /// Highest place of the first finger, half steps above the open string; none where any will do.
    /// The first finger stands on the second note of the scale in first position, on the fourth in
    /// third and so on up to the octave (common practice, no source).
    pub fn highest_place(self) -> Option<u8> {
        match self {
            Self::First => Some(2),
            Self::Third => Some(5),
            Self::Fourth => Some(7),
            Self::Fifth => Some(9),
            Self::Seventh => Some(12),
            Self::WithoutThumb | Self::All => None,
        }
    }

    /// True when the hand may lie on the string with the thumb.
    pub fn with_thumb(self) -> bool {
        self == Self::All
    }
}
