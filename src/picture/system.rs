//! A system: one line of music across the page or the screen.

use super::TimeAxis;
use crate::score::{Quarters, Score};

/// Which part of the music is drawn, and where. What is drawn of one system lies on one axis: staff,
/// hair map and levels under each other.
#[derive(Clone, Debug)]
pub struct System {
    /// Where each moment lies; best laid out so that the barline at `from` is at the right of what
    /// stands in front of the music.
    pub axis: TimeAxis,
    /// Start of the music shown, best a barline.
    pub from: Quarters,
    /// End of the music shown, best a barline.
    pub to: Quarters,
    /// Left end of the staff lines, mm; clef and names stand between it and the first barline.
    pub left_mm: f64,
    /// Right end of everything, mm.
    pub right_mm: f64,
}

impl System {
    /// A whole score in one line as it is spaced, the staff lines from 0, the music from `music_left_mm`.
    pub fn whole(score: &Score, axis: &TimeAxis, music_left_mm: f64) -> Self {
        let from = score.bars.first().map_or(Quarters::ZERO, |bar| bar.start);
        let to = score.end().max(from + Quarters::ONE);
        let axis = axis.starting_at(from, music_left_mm);
        Self { from, to, left_mm: 0.0, right_mm: axis.barline_x(to), axis }
    }

    /// Music from `from` to `to` between two places, mm, with the staff lines from `left_mm`; behind it room
    /// for the key and metre that begin after it.
    pub fn fitted(
        axis: &TimeAxis,
        (from, to): (Quarters, Quarters),
        left_mm: f64,
        (music_left_mm, right_mm): (f64, f64),
    ) -> Self {
        let axis = axis.fitted(from, to, music_left_mm, right_mm - axis.notice_mm(to));
        Self { axis, from, to, left_mm, right_mm }
    }

    /// Right end of the music itself, mm: its last barline.
    pub fn music_right_mm(&self) -> f64 {
        self.right_mm - self.axis.notice_mm(self.to)
    }

    /// True for a moment in the music shown.
    pub fn shows(&self, at: Quarters) -> bool {
        at >= self.from && at < self.to
    }

    /// Left end of the music itself, mm: its first barline.
    pub fn music_left_mm(&self) -> f64 {
        self.axis.barline_x(self.from).max(self.left_mm)
    }
}
