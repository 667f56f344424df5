//! How one note is bowed, as a choice.

use crate::score::Direction;

/// How a bowed note is linked to the one before it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Link {
    /// After a rest, or as the first note: either direction is free.
    Set,
    /// After a breath: either direction is free.
    Breath,
    /// A bow change on the string.
    Change,
    /// The bow is lifted and set again in the same direction.
    Retake,
    /// In one bow with the note before it, joined as it is now.
    Joined,
    /// Newly slurred to the note before it.
    Slur,
    /// Newly hooked to the note before it.
    Hook,
}

impl Link {
    /// It starts a stroke.
    pub fn starts(self) -> bool {
        match self {
            Self::Set | Self::Breath | Self::Change | Self::Retake => true,
            Self::Joined | Self::Slur | Self::Hook => false,
        }
    }

    /// Either direction is free.
    pub fn is_open(self) -> bool {
        matches!(self, Self::Set | Self::Breath)
    }
}

/// How one note is bowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Choice {
    /// How it is linked to the note before it.
    pub link: Link,
    /// Its direction.
    pub direction: Direction,
}

/// A whole bowing: one choice for each bowed note.
pub type Choices = Vec<Choice>;
