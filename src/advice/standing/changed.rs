//! How much of the writing differs between two bowings of the same notes.

use crate::{
    advice::difference::marks_changed,
    analysis::{Analysis, Study},
    bowing::Reached,
};

/// What a bowing changes of the one before.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Changed {
    /// Bow marks, retakes, slurs, hooks and stroke types that differ.
    pub marks: usize,
    /// Notes that begin a bow and did not.
    pub divided: usize,
    /// Notes that are in one bow with the note before them without a stop and were not.
    pub slurred: usize,
}

impl Changed {
    /// What differs between two lessons of the same notes.
    pub fn between(before: &Study, after: &Study) -> Self {
        let (was, is) = (before.analysis(), after.analysis());
        let all = 0..was.bowing.notes.len().min(is.bowing.notes.len());
        let joined = |analysis: &Analysis, k: usize| analysis.bowed(k).reached == Reached::SameStroke;
        Self {
            marks: marks_changed(&before.lesson().score, &after.lesson().score),
            divided: all.clone().filter(|&k| joined(was, k) && !joined(is, k)).count(),
            slurred: all.filter(|&k| !joined(was, k) && joined(is, k) && !is.is_stopped(k)).count(),
        }
    }
}
