//! How the list of pencil marks is shown, and where in it the music is.

use std::ops::Range;

use crate::{
    bowing::{Density, PencilMark, Topic},
    score::EventId,
};

/// Names a mark from one analysis to the next.
pub type WhichMark = (Topic, EventId);

/// How the list is shown.
#[derive(Debug, Default)]
pub struct PencilView {
    /// The mark at the top of the list when it last went along with the music, and how many there were.
    pub followed: Option<(WhichMark, usize)>,
    /// The words typed in the place of a mark.
    pub words: Option<(WhichMark, String)>,
    /// What was rubbed out is unfolded.
    pub rubbed_out: bool,
}

/// The marks shown, by their place in the analysis, and which of them hold now.
#[derive(Debug, PartialEq, Eq)]
pub struct Listed {
    /// The marks.
    pub marks: Vec<usize>,
    /// Those at the place of the last one not after the playhead, as a part of `marks`; what stands
    /// behind it comes next.
    pub now: Range<usize>,
}

impl Listed {
    /// The marks of this density, with the playhead at `quarters` from the start.
    pub fn new(all: &[PencilMark], density: Density, quarters: f64) -> Self {
        let marks: Vec<usize> = (0..all.len()).filter(|&mark| density.shows(all[mark].weight)).collect();
        let end = marks.partition_point(|&mark| all[mark].at.to_f64() <= quarters + 1e-6);
        let last = marks[..end].last().map(|&mark| all[mark].at);
        let start = marks.partition_point(|&mark| last.is_some_and(|last| all[mark].at < last));
        Self { marks, now: start..end }
    }

    /// The next mark from the playhead, or the one before it; from the ends it goes round.
    pub fn step(&self, all: &[PencilMark], forward: bool, quarters: f64) -> Option<usize> {
        let next = if forward {
            self.marks.get(self.now.end).or(self.marks.first())
        } else {
            let before = |&&mark: &&usize| all[mark].at.to_f64() < quarters - 1e-6;
            self.marks.iter().rfind(before).or(self.marks.last())
        };
        next.copied()
    }
}
