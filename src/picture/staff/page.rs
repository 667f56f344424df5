//! The part of a staff being drawn: where things lie, and what room is already taken.

use std::ops::Range;

use kurbo::{Affine, Point, Shape};

use crate::{
    lesson::Lesson,
    picture::{
        Engraving, Ink, Item, Picture, SPACE_MM, Tag, TimeAxis, engraving::HEAD_HALF, path::TOLERANCE,
    },
    score::Quarters,
};

/// Width of a stem, mm.
pub(super) const STEM: f64 = 0.12 * SPACE_MM;
/// Length of a stem without beams or flags, staff spaces: an octave.
pub(super) const STEM_LENGTH: f64 = 3.5;
/// Distance of two beams or tremolo strokes, staff spaces.
pub(super) const BEAM_STEP: f64 = 0.75;

/// Room taken above or below: boxes by their left and right ends and outer edge.
#[derive(Default)]
pub(super) struct Skyline(Vec<(f64, f64, f64)>);

impl Skyline {
    pub(super) fn add(&mut self, left: f64, right: f64, y: f64) {
        self.0.push((left, right, y));
    }

    fn over(&self, left: f64, right: f64) -> impl Iterator<Item = f64> {
        self.0.iter().filter(move |(l, r, _)| *l < right && *r > left).map(|(_, _, y)| *y)
    }

    /// Smallest y taken between two places, at most `base`.
    pub(super) fn top(&self, left: f64, right: f64, base: f64) -> f64 {
        self.over(left, right).fold(base, f64::min)
    }

    /// Largest y taken between two places, at least `base`.
    pub(super) fn bottom(&self, left: f64, right: f64, base: f64) -> f64 {
        self.over(left, right).fold(base, f64::max)
    }
}

/// Where an event was put.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed {
    /// Middle of its heads, mm.
    pub x: f64,
    /// End of its stem, or the outer edge of its heads where it has none, mm.
    pub tip: f64,
    /// Size against full notes.
    pub scale: f64,
    /// It has a stem.
    pub stem: bool,
}

/// A staff in the making.
pub(super) struct Page<'a> {
    pub lesson: &'a Lesson,
    pub engraving: &'a Engraving,
    pub axis: &'a TimeAxis,
    /// y of the top line, mm.
    pub top: f64,
    pub from: Quarters,
    pub to: Quarters,
    /// Left and right end of the music, mm.
    pub sides: (f64, f64),
    /// Events in the window.
    pub events: Range<usize>,
    /// Parallel to `events`.
    pub placed: Vec<Placed>,
    pub picture: Picture,
    pub above: Skyline,
    pub below: Skyline,
}

impl Page<'_> {
    /// True for a moment in the music shown.
    pub(super) fn in_window(&self, at: Quarters) -> bool {
        at >= self.from && at < self.to
    }

    /// y of a step, half spaces above the bottom line.
    pub(super) fn y(&self, step: i32) -> f64 {
        self.top + f64::from(8 - step) * SPACE_MM / 2.0
    }

    /// y of the bottom line.
    pub(super) fn bottom(&self) -> f64 {
        self.top + 4.0 * SPACE_MM
    }

    /// Middle of the heads of an event, also of one outside the window.
    pub(super) fn head_x(&self, index: usize) -> f64 {
        let chord = &self.engraving.chords[index];
        self.axis.x(self.lesson.score.events[index].onset) + (chord.shift - chord.grace_left) * SPACE_MM
    }

    pub(super) fn placed(&self, index: usize) -> Option<Placed> {
        self.placed.get(index.checked_sub(self.events.start)?).copied()
    }

    /// Middle of the stem of an event.
    pub(super) fn stem_x(&self, index: usize) -> f64 {
        let Some(placed) = self.placed(index) else { return 0.0 };
        let side = HEAD_HALF * SPACE_MM * placed.scale - STEM / 2.0;
        placed.x + if self.engraving.chords[index].up { side } else { -side }
    }

    pub(super) fn tag(&self, index: usize) -> Option<Tag> {
        Some(Tag::Event(self.lesson.score.events[index].id))
    }

    /// Draws a shape given in staff spaces at a point in mm.
    pub(super) fn shape(
        &mut self,
        shape: impl Shape,
        at: impl Into<Point>,
        scale: f64,
        ink: Ink,
        tag: Option<Tag>,
    ) {
        let to_mm = Affine::scale(SPACE_MM * scale).then_translate(at.into().to_vec2());
        self.picture.path(to_mm * shape.into_path(TOLERANCE), Some(ink), None, tag);
    }

    /// Draws a sign of the music font with its origin at a point.
    pub(super) fn glyph(
        &mut self,
        glyph: char,
        at: impl Into<Point>,
        scale: f64,
        ink: Ink,
        tag: Option<Tag>,
    ) {
        let at = at.into();
        self.picture.items.push(Item::Glyph { at, glyph, size_mm: 4.0 * SPACE_MM * scale, ink, tag });
    }

    /// Takes room on both sides.
    pub(super) fn take(&mut self, left: f64, right: f64, top: f64, bottom: f64) {
        self.above.add(left, right, top);
        self.below.add(left, right, bottom);
    }
}
