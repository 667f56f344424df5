//! The named views.

use crate::lesson::handout::ArmView;

impl ArmView {
    /// The words on the switch.
    pub fn words(self) -> &'static str {
        match self {
            Self::Half => "half from the front",
            Self::BowSide => "from the bow side",
            Self::Mirror => "as in a mirror",
            Self::Behind => "from behind",
            Self::Above => "from above",
            Self::OwnEyes => "own eyes",
        }
    }

    /// The words of the caption.
    pub fn seen(self) -> &'static str {
        match self {
            Self::Half => "seen half from the front",
            Self::BowSide => "seen from the bow side",
            Self::Mirror => "seen as in a mirror",
            Self::Behind => "seen from behind",
            Self::Above => "seen from above",
            Self::OwnEyes => "seen by the player, bent over the strings",
        }
    }

    /// The height of the elbow is seen.
    pub fn shows_heights(self) -> bool {
        !matches!(self, Self::Above | Self::OwnEyes)
    }

    /// Degrees round the player from straight in front toward the player's right, and above the
    /// shoulders. Assumed.
    pub(super) fn seen_from_deg(self) -> (f64, f64) {
        match self {
            Self::Half => (42.0, 6.0),
            Self::BowSide => (88.0, 4.0),
            Self::Mirror => (0.0, 4.0),
            Self::Behind => (180.0, 4.0),
            Self::Above | Self::OwnEyes => (180.0, 89.0),
        }
    }
}
