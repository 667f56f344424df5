//! What the other hand does: on which string and with which finger every note is played.

use std::ops::Range;

use crate::{score::Line, setup::Setup};

use super::{FingerCue, Placement, finger_cues, place};

/// Strings and fingers of a line.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftHand {
    /// String, finger and bow plane of each note of the line.
    pub placements: Vec<Placement>,
    /// Fingers to set before the bow crosses to their string, in the order of the music.
    pub cues: Vec<FingerCue>,
}

impl LeftHand {
    /// Finds the strings and fingers of a line.
    pub fn new(line: &Line, setup: &Setup) -> Self {
        let placements = place(&line.notes, setup);
        let cues = finger_cues(&line.notes, &placements);
        Self { placements, cues }
    }

    /// The fingers to set for some notes of the line, in order.
    pub fn cues_of(&self, notes: Range<usize>) -> &[FingerCue] {
        let place = |note: usize| self.cues.partition_point(|cue| cue.note < note);
        &self.cues[place(notes.start)..place(notes.end.max(notes.start))]
    }
}
