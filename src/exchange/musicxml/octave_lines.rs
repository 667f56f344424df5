//! Octave lines: ends paired in musical time.

use super::{raw::Origin, settling::Settling};
use crate::score::{Quarters, SignKind};

/// One end of an octave line.
pub(super) struct OctaveEnd {
    pub at: Quarters,
    pub number: u8,
    /// Octaves its notes sound higher than printed; none where it ends.
    pub octaves: Option<i8>,
    pub bar: usize,
    pub line: u32,
    /// Byte offset of its element.
    pub origin: usize,
}

/// Pairs starts and ends by number: the lines, each with where it starts and where it was read.
pub(super) fn pair(
    settling: &mut Settling<'_>,
    mut ends: Vec<OctaveEnd>,
) -> Vec<(Quarters, SignKind, Origin)> {
    ends.sort_by_key(|end| (end.at, end.octaves.is_some()));
    let mut open: Vec<OctaveEnd> = Vec::new();
    let mut found = Vec::new();
    let mut close = |start: &OctaveEnd, end: Quarters, origin: Option<usize>| {
        if let Some(octaves) = start.octaves.filter(|octaves| *octaves != 0 && end > start.at) {
            let origin = Origin { start: Some(start.origin), end: origin };
            found.push((start.at, SignKind::OctaveLine { octaves, end }, origin));
        }
    };
    for end in ends {
        let before = open.iter().position(|start| start.number == end.number).map(|k| open.remove(k));
        match (end.octaves, before) {
            // One line at a time: what begins ends the one before it.
            (Some(_), before) => {
                if let Some(start) = before {
                    close(&start, end.at, None);
                }
                open.push(end);
            }
            (None, Some(start)) => close(&start, end.at, Some(end.origin)),
            (None, None) => {
                let message = "an octave line ends that never began; it is left out";
                settling.warn_at(end.bar, end.line, message, "");
            }
        }
    }
    for start in open {
        let message = "an octave line never ends; it is led to the end of its bar";
        settling.warn_at(start.bar, start.line, message, "");
        close(&start, settling.timeline.start(start.bar + 1), None);
    }
    found
}
