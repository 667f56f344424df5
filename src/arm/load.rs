//! How tiring a level is when it is held: a prompt to vary and rest, nothing more.

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

/// Load of the upper arm by its elevation from hanging straight down, degrees: free up to 20, then
/// falling evenly from 3 minutes at 20 degrees to 1 minute at 60 (ISO 11226:2000, static working
/// postures, from memory).
pub fn load(upper_arm_deg: f64) -> Load {
    if upper_arm_deg > 60.0 {
        Load::Vary
    } else if upper_arm_deg >= 20.0 {
        Load::Limited { minutes: 3.0 - (upper_arm_deg - 20.0) / 20.0 }
    } else {
        Load::Free
    }
}
