//! The part of a staff being drawn: where things lie, and what room is already taken.

use std::ops::Range;

use kurbo::{Point, Rect};

use crate::{
    lesson::Lesson,
    picture::{
        Engraving, Ink, Item, Picture, SPACE_MM, Tag, TimeAxis,
        smufl::{Sign, defaults},
    },
    score::Quarters,
};

/// Length of a stem without beams or flags, staff spaces: an octave.
pub(super) const STEM_LENGTH: f64 = 3.5;

/// Width of a stem, mm.
pub(super) fn stem_mm() -> f64 {
    defaults().stem_thickness * SPACE_MM
}

/// From a beam to the next, staff spaces.
pub(super) fn beam_step() -> f64 {
    defaults().beam_thickness + defaults().beam_spacing
}

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

    /// Where what lasts up to a moment has to end, mm: at the barline there, at a clef before it, or at what
    /// belongs to the next note.
    pub(super) fn end_x(&self, end: Quarters) -> f64 {
        let bar = self.lesson.score.bars.binary_search_by_key(&end, |bar| bar.start).ok();
        let Some(bar) = bar.filter(|_| self.axis.has_barline(end)) else {
            let room = self.engraving.room.get(&end).map_or(0.0, |room| room.0);
            return self.axis.x(end) - room * SPACE_MM;
        };
        let lead = &self.engraving.leads[bar];
        let clef = lead.clef.map_or(0.0, |(left, _)| left - lead.bar);
        self.axis.barline_x(end) - clef * SPACE_MM
    }

    pub(super) fn placed(&self, index: usize) -> Option<Placed> {
        self.placed.get(index.checked_sub(self.events.start)?).copied()
    }

    /// Middle of the stem of an event: where its heads are met.
    pub(super) fn stem_x(&self, index: usize) -> f64 {
        let Some(placed) = self.placed(index) else { return 0.0 };
        let chord = &self.engraving.chords[index];
        let side = chord.half * SPACE_MM * placed.scale - stem_mm() / 2.0;
        placed.x + if chord.up { side } else { -side }
    }

    pub(super) fn tag(&self, index: usize) -> Option<Tag> {
        Some(Tag::Event(self.lesson.score.events[index].id))
    }

    /// Draws a sign of the music font with its origin at a point; gives the box it covers.
    pub(super) fn sign(
        &mut self,
        sign: Sign,
        at: impl Into<Point>,
        scale: f64,
        ink: Ink,
        tag: Option<Tag>,
    ) -> Rect {
        let at = at.into();
        let size_mm = 4.0 * SPACE_MM * scale;
        self.picture.items.push(Item::Glyph { at, glyph: sign.code, size_mm, ink, tag });
        sign.bounds().scale_from_origin(SPACE_MM * scale) + at.to_vec2()
    }

    /// Draws a sign of the music font with the middle of its box at a point; gives that box.
    pub(super) fn sign_centred(
        &mut self,
        sign: Sign,
        middle: impl Into<Point>,
        scale: f64,
        ink: Ink,
        tag: Option<Tag>,
    ) -> Rect {
        let to_middle = sign.bounds().center().to_vec2() * (SPACE_MM * scale);
        self.sign(sign, middle.into() - to_middle, scale, ink, tag)
    }

    /// Draws digits beside each other, centred on a point from left to right, their origins at its height;
    /// gives their width, mm.
    pub(super) fn digits(&mut self, signs: &[Sign], middle: Point, scale: f64, ink: Ink) -> f64 {
        let width = digits_width(signs) * SPACE_MM * scale;
        let mut x = middle.x - width / 2.0;
        for &sign in signs {
            self.sign(sign, (x, middle.y), scale, ink, None);
            x += sign.advance() * SPACE_MM * scale;
        }
        width
    }

    /// Takes room on both sides.
    pub(super) fn take(&mut self, left: f64, right: f64, top: f64, bottom: f64) {
        self.above.add(left, right, top);
        self.below.add(left, right, bottom);
    }
}

/// Width of digits beside each other, staff spaces.
pub(super) fn digits_width(signs: &[Sign]) -> f64 {
    signs.iter().map(|sign| sign.advance()).sum()
}
