//! Beams. Sizes are common practice, no source.

use kurbo::Point;

use super::page::{Page, STEM_LENGTH, beam_step, stem_mm};
use crate::{
    picture::{Ink, SPACE_MM, engraving::Chord, path::polygon, smufl::defaults},
    score::Between,
};

/// Air at the ends of the strokes of a tremolo between two notes, staff spaces. Common practice, no source.
const STROKE_AIR: f64 = 0.6;

/// The outer edge of the outermost beam of a group.
struct BeamLine {
    /// Where it meets the first stem.
    start: Point,
    slope: f64,
    /// The stems go up to it.
    up: bool,
    /// A staff space at the size of the group, mm.
    space: f64,
}

impl BeamLine {
    fn y(&self, x: f64) -> f64 {
        self.start.y + self.slope * (x - self.start.x)
    }
}

impl Page<'_> {
    /// Draws the beams of the system; the stems of their notes end there.
    pub(super) fn beams(&mut self) {
        for group in self.beams_in_window() {
            self.beam(&group);
        }
    }

    fn beams_in_window(&self) -> Vec<Vec<usize>> {
        let first = self.engraving.beams.partition_point(|group| group[0] < self.events.start);
        let groups = self.engraving.beams[first..].iter().take_while(|group| group[0] < self.events.end);
        groups.filter(|group| group.last().is_some_and(|last| *last < self.events.end)).cloned().collect()
    }

    /// Puts the stems of a group on one straight beam and draws it.
    fn beam(&mut self, group: &[usize]) {
        let (Some(&first), Some(&last)) = (group.first(), group.last()) else { return };
        let (x0, x1) = (self.stem_x(first), self.stem_x(last));
        let beam = self.beam_line(group, x0, x1);
        if let Some(between) = self.engraving.tremolo_of(first) {
            self.tremolo_between(between, &beam);
            if !self.placed[first - self.events.start].stem {
                return;
            }
        }
        for &index in group {
            let tip = beam.y(self.stem_x(index));
            let place = index - self.events.start;
            self.placed[place].tip = tip;
        }
        let deepest = group.iter().map(|&i| self.beams_of(i)).max().unwrap_or(1);
        for level in 1..=deepest {
            self.beam_level(group, level, &beam);
        }
        let (top, bottom) = (beam.y(x0).min(beam.y(x1)), beam.y(x0).max(beam.y(x1)));
        if beam.up { self.above.add(x0, x1, top) } else { self.below.add(x0, x1, bottom) }
    }

    /// How many beams an event has.
    fn beams_of(&self, index: usize) -> i32 {
        let beams = -2 - i32::from(self.lesson.score.events[index].value.log2_whole);
        if self.engraving.tremolo_of(index).is_some() { beams.max(0) } else { beams.max(1) }
    }

    /// How many beams and strokes of a tremolo lie over each other at an event.
    fn lines_of(&self, index: usize) -> i32 {
        let strokes = self.engraving.tremolo_of(index).map_or(0, |own| i32::from(own.strokes));
        self.beams_of(index) + strokes
    }

    /// Where the outermost beam of a group runs, from `x0` to `x1`.
    fn beam_line(&self, group: &[usize], x0: f64, x1: f64) -> BeamLine {
        let (first, last) = (group[0], group[group.len() - 1]);
        let up = self.engraving.chords[first].up;
        let scale = self.placed(first).map_or(1.0, |placed| placed.scale);
        let space = SPACE_MM * scale;
        let sign = if up { -1.0 } else { 1.0 };
        let outer = |index: usize| {
            let chord = &self.engraving.chords[index];
            self.y(if up { chord.high() } else { chord.low() })
        };
        // Slope: half of the interval between the ends, at most one space; flat where an inner
        // note reaches farther than both ends.
        let rise = outer(last) - outer(first);
        let ends = if up { outer(first).min(outer(last)) } else { outer(first).max(outer(last)) };
        let inner_beyond = group.iter().any(|&i| (outer(i) - ends) * sign > 0.01);
        let limit = (0.25 * (x1 - x0)).min(1.0 * space);
        let rise = if inner_beyond { 0.0 } else { (rise * 0.5).clamp(-limit, limit) };
        let slope = if x1 > x0 { rise / (x1 - x0) } else { 0.0 };
        // Every stem is long enough and reaches the middle line.
        let mut y0 = f64::NEG_INFINITY;
        for &index in group {
            let inner_beams = f64::from((self.lines_of(index) - 2).max(0));
            let length = (STEM_LENGTH - 0.35 + beam_step() * 0.8 * inner_beams) * space;
            let mut need = (outer(index) + sign * length) * sign;
            if scale == 1.0 {
                need = need.max(self.y(4) * sign);
            }
            y0 = y0.max(need - slope * (self.stem_x(index) - x0) * sign);
        }
        BeamLine { start: Point::new(x0, y0 * sign), slope, up, space }
    }

    /// The strokes of a tremolo between two notes: from stem to stem between half notes, clear of the stems
    /// between shorter ones, between the heads of those that have no stems.
    fn tremolo_between(&mut self, between: Between, beam: &BeamLine) {
        let Between { from, to, strokes } = between;
        let value = self.lesson.score.events[from].value.log2_whole;
        let inward = if beam.up { beam.space } else { -beam.space };
        let thick = inward * defaults().beam_thickness;
        let step = inward * beam_step();
        let first = f64::from(self.beams_of(from)) * step;
        let (a, b, line) = if value >= 0 {
            let (left, right) = (&self.engraving.chords[from], &self.engraving.chords[to]);
            let a = self.head_x(from) + (left.right + STROKE_AIR) * SPACE_MM;
            let b = self.head_x(to) - (right.left + STROKE_AIR) * SPACE_MM;
            let middle = |chord: &Chord| f64::midpoint(self.y(chord.low()), self.y(chord.high()));
            let (y0, y1) = (middle(left), middle(right));
            let slope = (0.5 * (y1 - y0) / (b - a).max(SPACE_MM)).clamp(-0.25, 0.25);
            let high = f64::from(strokes) * step - step + thick;
            let y = f64::midpoint(y0, y1) - high / 2.0 - slope * (b - a) / 2.0;
            (a, b, BeamLine { start: Point::new(a, y), slope, ..*beam })
        } else {
            let air = if value == -1 { -stem_mm() / 2.0 } else { STROKE_AIR * beam.space };
            (self.stem_x(from) + air, self.stem_x(to) - air, BeamLine { ..*beam })
        };
        if b <= a {
            return;
        }
        for stroke in 0..strokes {
            let offset = first + f64::from(stroke) * step;
            let corner = |x: f64, dy: f64| (x, line.y(x) + offset + dy);
            let path = polygon([corner(a, 0.0), corner(b, 0.0), corner(b, thick), corner(a, thick)]);
            self.picture.fill(path, Ink::Text);
            let (top, bottom) = [(a, 0.0), (b, thick)].map(|(x, dy)| line.y(x) + offset + dy).into();
            self.take(a, b, f64::min(top, bottom), f64::max(top, bottom));
        }
    }

    /// Which part of a group a note belongs to: where there are thirty-seconds, all beams but the first are
    /// broken at every eighth.
    fn part_of(&self, group: &[usize], level: i32, index: usize) -> i64 {
        let fine =
            group.iter().all(|&i| self.beams_of(i) >= 2) && group.iter().any(|&i| self.beams_of(i) >= 3);
        let score = &self.lesson.score;
        let event = &score.events[index];
        let bar = score.bar_at(event.onset).map(|bar| &score.bars[bar]);
        let Some(bar) = bar.filter(|_| level > 1 && fine && event.grace.is_none()) else { return 0 };
        ((event.onset - bar.start).to_f64() * 2.0 + 1e-6).floor() as i64
    }

    /// Draws one of the beams of a group, counted from the outermost.
    fn beam_level(&mut self, group: &[usize], level: i32, beam: &BeamLine) {
        let inward = if beam.up { beam.space } else { -beam.space };
        let offset = inward * f64::from(level - 1) * beam_step();
        let mut k = 0;
        while k < group.len() {
            let part = self.part_of(group, level, group[k]);
            let together = |&&i: &&usize| self.beams_of(i) >= level && self.part_of(group, level, i) == part;
            let run = group[k..].iter().take_while(together).count();
            if run == 0 {
                k += 1;
                continue;
            }
            let (mut a, mut b) = (self.stem_x(group[k]), self.stem_x(group[k + run - 1]));
            if run == 1 {
                // A short beam points to the note with which it fills its beat: to the right at the start.
                let starts = k == 0 || self.part_of(group, level, group[k - 1]) != part;
                let alone = k + 1 == group.len() || self.part_of(group, level, group[k + 1]) != part;
                let stub = 1.1 * beam.space;
                if starts && !alone { b = a + stub } else { a = b - stub }
            }
            let (a, b) = (a - stem_mm() / 2.0, b + stem_mm() / 2.0);
            let thick = inward * defaults().beam_thickness;
            let corner = |x: f64, dy: f64| (x, beam.y(x) + offset + dy);
            let path = polygon([corner(a, 0.0), corner(b, 0.0), corner(b, thick), corner(a, thick)]);
            self.picture.fill(path, Ink::Text);
            k += run;
        }
    }
}
