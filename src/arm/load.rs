//! How tiring a level is when it is held: a prompt to vary and rest, nothing more.

use super::RAISED_DEG;

/// What a general reference for work postures says of a raised upper arm. Such references are made
/// for adults at work who hold still, not for music and not for children.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Load {
    /// Hanging nearly free.
    Free,
    /// Raised: to be held no longer than this without a change, minutes.
    Limited {
        /// Minutes.
        minutes: f64,
    },
    /// Raised so far that it should change often.
    Vary,
}

/// Up to this elevation the upper arm hangs nearly free, degrees (ISO 11226:2000, from memory).
const FREE_DEG: f64 = 20.0;
/// Minutes a posture may be held at that elevation, and at [`RAISED_DEG`] (the same, from memory).
const MINUTES: (f64, f64) = (3.0, 1.0);

/// Load of the upper arm by its elevation from hanging straight down, degrees: free up to 20, then
/// falling evenly from 3 minutes at 20 degrees to 1 minute at 60 (ISO 11226:2000, static working
/// postures, from memory).
pub fn load(upper_arm_deg: f64) -> Load {
    if upper_arm_deg > RAISED_DEG {
        Load::Vary
    } else if upper_arm_deg >= FREE_DEG {
        let share = (upper_arm_deg - FREE_DEG) / (RAISED_DEG - FREE_DEG);
        Load::Limited { minutes: MINUTES.0 + (MINUTES.1 - MINUTES.0) * share }
    } else {
        Load::Free
    }
}
