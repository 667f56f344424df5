//! How many of the pencil marks are shown.

use serde::{Deserialize, Serialize};
use strum::VariantArray;

use super::Need;

/// How many pencil marks are shown, from none to all.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, VariantArray, Serialize, Deserialize,
)]
#[cfg_attr(feature = "cli", derive(clap::ValueEnum))]
pub enum Density {
    /// None.
    None,
    /// What must be told.
    Must,
    /// What is worth telling too.
    #[default]
    Worth,
    /// All, also what is told if time allows.
    All,
}

impl Density {
    /// Its name on the screen.
    pub fn words(self) -> &'static str {
        match self {
            Self::None => "nothing",
            Self::Must => "what must be told",
            Self::Worth => "what is worth telling",
            Self::All => "everything",
        }
    }

    /// Marks that are needed so much are shown.
    pub fn shows(self, need: Need) -> bool {
        match self {
            Self::None => false,
            Self::Must => need >= Need::Must,
            Self::Worth => need >= Need::Worth,
            Self::All => true,
        }
    }

    /// The next one, round and round.
    #[must_use]
    pub fn next(self) -> Self {
        let all = Self::VARIANTS;
        all[(self as usize + 1) % all.len()]
    }
}
