//! What the other hand does: on which string and with which finger every note is played.

use crate::{score::Line, setup::Setup};

use super::{FingerCue, Placement, finger_cues, place};

/// Strings and fingers of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftHand {
    /// String, finger and bow plane of each note of the line.
    pub placements: Vec<Placement>,
    /// Fingers to set before the bow crosses to their string.
    pub cues: Vec<FingerCue>,
}

impl LeftHand {
    /// Finds the strings and fingers of a line.
    pub fn new(line: &Line, setup: &Setup) -> Self {
        let placements = place(&line.notes, setup);
        let cues = finger_cues(&line.notes, &placements);
        Self { placements, cues }
    }
}
