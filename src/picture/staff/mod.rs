//! The score as a player reads it.
//!
//! [`Engraving`] decides once for each revision of a score all that does not depend on spacing;
//! [`staff`] draws a system of it.

mod beams;
mod curves;
mod dynamics;
mod lines;
mod marks;
mod notes;
mod page;
mod pencil;
mod rests;
mod signs;
mod words;

use std::collections::HashMap;

use kurbo::{Affine, BezPath, Point, Rect};

use super::{
    Engraving, Ink, Pen, Picture, SPACE_MM, System,
    engraving::{NOTICE_AIR, key_signs, key_steps, naturals},
    glyph, smufl,
    smufl::{Sign, defaults},
};
use crate::{
    analysis::{Analysis, Study},
    bowing::{Density, Stroke},
    score::{Clef, ClefSign, Direction, EventId, Quarters, Score, TimeSign, TimeSignature},
};
use page::{Page, Skyline};

const S: f64 = SPACE_MM;

/// A drawn staff and where it lies.
#[derive(Clone, Debug)]
pub struct Staff {
    /// The drawing; its y runs from above the highest to below the lowest mark.
    pub picture: Picture,
    /// y of the top staff line, mm.
    pub top_line_mm: f64,
}

/// Draws the staff of a system. The staff lines run from its left to its right end; the clef and key signature in force stand in front of the first barline (see
/// [`header_width_mm`] for the room they need), with the time signature where it begins there. Behind the
/// last barline stand the key and metre that begin after it.
/// A slur or tie that reaches beyond the system is cut at its ends.
///
/// Printed bow marks are drawn strong, the directions the plan gives the other strokes faint. Over it all
/// stand pencil marks, as many as `pencil` says; their words
/// grow by `type_factor`.
pub fn staff(
    study: &Study,
    engraving: &Engraving,
    system: &System,
    pencil: Density,
    type_factor: f64,
) -> Staff {
    let score = &study.lesson().score;
    let (from, to) = (system.from, system.to);
    let start = score.events.partition_point(|event| event.onset < from);
    let end = score.events.partition_point(|event| event.onset < to).min(engraving.chords.len()).max(start);
    let mut page = Page {
        lesson: study.lesson(),
        engraving,
        axis: &system.axis,
        top: 0.0,
        from,
        to,
        sides: (system.axis.barline_x(from), system.music_right_mm()),
        events: start..end,
        placed: Vec::with_capacity(end - start),
        picture: Picture::default(),
        above: Skyline::default(),
        below: Skyline::default(),
    };
    let directions = stroke_starts(study.analysis(), system);
    page.lines(system.left_mm, system.right_mm);
    page.header(system.left_mm);
    page.bars();
    page.clef_changes();
    page.notes();
    page.slides();
    page.wide_rests();
    page.close_marks();
    page.ties();
    page.tuplets(true);
    page.slurs();
    page.tuplets(false);
    page.between();
    page.bar_numbers();
    page.outer_marks(&|id| directions.get(&id).copied());
    page.octave_lines();
    page.dynamics();
    page.over_the_staff();
    page.pencil(&study.pencil().marks, pencil, type_factor);
    let (low, high) = (f64::NEG_INFINITY, f64::INFINITY);
    let top = page.above.top(low, high, -2.0 * S) - 0.6 * S;
    let bottom = page.below.bottom(low, high, page.bottom() + 2.0 * S) + 0.6 * S;
    let mut picture = Picture::new(system.right_mm, bottom - top);
    picture.place(page.picture, (0.0, -top));
    Staff { picture, top_line_mm: -top }
}

/// Directions of the first notes of the strokes in a system.
fn stroke_starts(analysis: &Analysis, system: &System) -> HashMap<EventId, Direction> {
    let head = |stroke: &Stroke| analysis.note(stroke.notes.start);
    let strokes = &analysis.bowing.strokes;
    let first = strokes.partition_point(|stroke| head(stroke).onset < system.from);
    let here = strokes[first..].iter().take_while(|stroke| head(stroke).onset < system.to);
    here.map(|stroke| (head(stroke).id(), stroke.direction)).collect()
}

/// Room for the clef, key and time signature in front of the music from a bar on, mm.
pub fn header_width_mm(score: &Score, bar: usize) -> f64 {
    let key = score.bars.get(bar).map_or(0.0, |bar| f64::from(bar.key.unsigned_abs().min(7)));
    let time = if begins_metre(score, bar) { 3.0 } else { 0.0 };
    (0.8 + 3.1 + key + if key > 0.0 { 0.8 } else { 0.0 } + time) * S
}

/// The first bar, and those of another metre than the one before.
fn begins_metre(score: &Score, bar: usize) -> bool {
    bar.checked_sub(1).is_none_or(|before| {
        score.bars.get(before).map(|before| &before.time) != score.bars.get(bar).map(|bar| &bar.time)
    })
}

impl Page<'_> {
    fn lines(&mut self, left: f64, right: f64) {
        for line in 0..5 {
            let y = self.top + f64::from(line) * S;
            self.picture.line(
                (left, y),
                (right, y),
                Pen::solid(Ink::Staff, defaults().staff_line_thickness * S),
            );
        }
    }

    fn header(&mut self, left: f64) {
        let score = &self.lesson.score;
        let clef = self.engraving.clef_at(self.from);
        self.clef(clef, left + 0.6 * S, 1.0);
        let Some(index) = score.bar_at(self.from) else { return };
        let bar = &score.bars[index];
        let key_left = left + 3.9 * S;
        self.key(key_left, 0, bar.key, clef);
        if begins_metre(score, index) {
            let signs = f64::from(bar.key.unsigned_abs().min(7));
            let gap = if signs > 0.0 { 0.8 } else { 0.0 };
            self.time(&bar.time, key_left + (signs + gap + 1.0) * S);
        }
    }

    fn clef(&mut self, clef: Clef, left: f64, scale: f64) {
        let sign = match (clef.sign, clef.octave) {
            (ClefSign::G, 0) => smufl::G_CLEF,
            (ClefSign::G, -1) => smufl::G_CLEF_8VB,
            (ClefSign::G, ..-1) => smufl::G_CLEF_15MB,
            (ClefSign::G, 1) => smufl::G_CLEF_8VA,
            (ClefSign::G, 2..) => smufl::G_CLEF_15MA,
            (ClefSign::C, 0..) => smufl::C_CLEF,
            (ClefSign::C, ..0) => smufl::C_CLEF_8VB,
            (ClefSign::F, 0) => smufl::F_CLEF,
            (ClefSign::F, -1) => smufl::F_CLEF_8VB,
            (ClefSign::F, ..-1) => smufl::F_CLEF_15MB,
            (ClefSign::F, 1) => smufl::F_CLEF_8VA,
            (ClefSign::F, 2..) => smufl::F_CLEF_15MA,
        };
        let line_y = self.bottom() - (f64::from(clef.line) - 1.0) * S;
        let taken = self.sign(sign, (left - sign.bounds().x0 * S * scale, line_y), scale, Ink::Text, None);
        self.take(taken.x0, taken.x1, taken.y0, taken.y1);
    }

    /// A key signature from `left`, with naturals for what an old one leaves.
    fn key(&mut self, left: f64, old: i8, new: i8, clef: Clef) {
        let c_step = 28 - clef.bottom_line();
        let mut x = left;
        let mut row = |page: &mut Self, count: u8, sharps: bool, alter: f32| {
            for step in key_steps(count, sharps, c_step) {
                let y = page.y(step);
                let taken = page.sign(smufl::accidental(alter), (x, y), 1.0, Ink::Text, None);
                page.take(taken.x0, taken.x1, taken.y0, taken.y1);
                x += S;
            }
        };
        row(self, naturals(old, new), old > 0, 0.0);
        row(self, new.unsigned_abs().min(7), new > 0, f32::from(new.signum()));
    }

    fn time(&mut self, time: &TimeSignature, middle: f64) {
        if time.beats.is_empty() {
            return;
        }
        let sign = match time.sign {
            TimeSign::Numbers => None,
            TimeSign::Common => Some(smufl::TIME_COMMON),
            TimeSign::Cut => Some(smufl::TIME_CUT),
        };
        if let Some(sign) = sign {
            self.digits(&[sign], Point::new(middle, self.top + 2.0 * S), 1.0, Ink::Text);
            return;
        }
        for (text, space) in [(time.beats.as_str(), 1.0), (time.beat_type.to_string().as_str(), 3.0)] {
            let digits: Vec<Sign> = text.chars().filter_map(smufl::time_digit).collect();
            self.digits(&digits, Point::new(middle, self.top + space * S), 1.0, Ink::Text);
        }
    }

    /// Clefs that change in the system, or at its end to warn of the next one.
    fn clef_changes(&mut self) {
        let bars = &self.lesson.score.bars;
        let is_bar = |at: Quarters| bars.binary_search_by_key(&at, |bar| bar.start).is_ok();
        let inside = |at: Quarters| at < self.to || is_bar(at);
        let changes = self.engraving.clefs_between(self.from, self.to + Quarters::ONE);
        let changes: Vec<_> = changes.filter(|(at, _)| *at <= self.to && inside(*at)).collect();
        for (at, clef) in changes {
            let bar = self.lesson.score.bars.binary_search_by_key(&at, |bar| bar.start).ok();
            // In front of a system the new clef is the header's.
            if at == self.from {
                continue;
            }
            let lead = bar.and_then(|bar| self.engraving.leads[bar].clef.map(|(left, _)| (bar, left)));
            let left = match lead {
                Some((bar, left)) => {
                    let room = self.engraving.first_note_room(bar, at);
                    self.axis.x(at) - (room + left) * S
                }
                None => {
                    let room = self.engraving.room.get(&at).map_or(3.4, |room| room.0);
                    self.axis.x(at) - room * S
                }
            };
            self.clef(clef, left, 0.8);
        }
    }

    fn bars(&mut self) {
        let bars = &self.lesson.score.bars;
        let first = bars.partition_point(|bar| bar.end() <= self.from);
        let count = bars[first..].iter().take_while(|bar| bar.start < self.to).count();
        for (index, bar) in bars.iter().enumerate().skip(first).take(count) {
            if self.engraving.is_inside_rest(index) {
                continue;
            }
            if bar.start > self.from || (index == first && bar.repeat_start) {
                self.barline_before(index, index == first);
            }
            if bar.start > self.from {
                self.changes(index);
            }
        }
        // The last barline of the window, in its own style.
        if let Some(last) = (first + count).checked_sub(1).filter(|last| *last >= first)
            && bars[last].end() <= self.to
        {
            let bar = &bars[last];
            let final_bar = last + 1 == bars.len();
            let x = self.axis.barline_x(bar.end()).min(self.sides.1);
            self.barline(x, bar.repeat_end, false, bar.double_barline || final_bar, final_bar);
            self.notice(last + 1, x);
        }
    }

    /// The key and metre of the bar that begins the next system, behind the last barline of this one.
    fn notice(&mut self, next: usize, barline: f64) {
        let Some(lead) = self.engraving.leads.get(next) else { return };
        let bars = &self.lesson.score.bars;
        let mut x = barline + NOTICE_AIR * S;
        if let Some((_, old, new)) = lead.key {
            self.key(x, old, new, self.engraving.clef_at(bars[next].start));
            x += (key_signs(old, new) as f64 + NOTICE_AIR) * S;
        }
        if lead.time.is_some() {
            self.time(&bars[next].time, x + 0.9 * S);
        }
    }

    fn barline_before(&mut self, index: usize, first: bool) {
        let bars = &self.lesson.score.bars;
        let x = self.axis.barline_x(bars[index].start);
        let before = index.checked_sub(1).map(|i| &bars[i]).filter(|_| !first);
        let ends = before.is_some_and(|bar| bar.repeat_end);
        let double = before.is_some_and(|bar| bar.double_barline);
        self.barline(x, ends, bars[index].repeat_start, double, false);
    }

    fn barline(&mut self, x: f64, repeat_end: bool, repeat_start: bool, double: bool, last: bool) {
        let (thin, thick) = (defaults().thin_barline_thickness * S, defaults().thick_barline_thickness * S);
        let apart = defaults().barline_separation * S;
        let dot = smufl::REPEAT_DOT.bounds().width() * S;
        let dots_apart = defaults().repeat_barline_dot_separation * S;
        let (top, bottom) = (self.top - 0.05 * S, self.bottom() + 0.05 * S);
        let mut line = |at: f64, width: f64| {
            let path = Rect::new(at - width / 2.0, top, at + width / 2.0, bottom);
            self.picture.fill(path, Ink::Text);
        };
        let mut dots: Vec<f64> = Vec::new();
        match (repeat_end, repeat_start) {
            (false, false) if last => {
                line(x - thick / 2.0, thick);
                line(x - thick - apart - thin / 2.0, thin);
            }
            (false, false) if double => {
                line(x, thin);
                line(x - apart - thin, thin);
            }
            (false, false) => line(x, thin),
            (ends, starts) => {
                line(x, thick);
                if ends {
                    let at = thick / 2.0 + apart + thin / 2.0;
                    line(x - at, thin);
                    dots.push(x - at - thin / 2.0 - dots_apart - dot);
                }
                if starts {
                    let at = thick / 2.0 + apart + thin / 2.0;
                    line(x + at, thin);
                    dots.push(x + at + thin / 2.0 + dots_apart);
                }
            }
        }
        for x in dots {
            for space in [1.5, 2.5] {
                self.sign(smufl::REPEAT_DOT, (x, self.top + space * S), 1.0, Ink::Text, None);
            }
        }
    }

    /// Key and time changes at a bar.
    fn changes(&mut self, index: usize) {
        let bar = &self.lesson.score.bars[index];
        let lead = &self.engraving.leads[index];
        let right = self.axis.x(bar.start) - self.engraving.first_note_room(index, bar.start) * S;
        let (key, time) = (lead.key, lead.time);
        if let Some((left, old, new)) = key {
            self.key(right - left * S, old, new, self.engraving.clef_at(bar.start));
        }
        if let Some(middle) = time {
            self.time(&bar.time, right - middle * S);
        }
    }
}

/// A bow sign standing on a point with its middle, `high_mm` high for the up-bow.
pub(super) fn bow_sign(direction: Direction, foot: Point, high_mm: f64) -> BezPath {
    let sign = marks::bow_sign(direction);
    let space = high_mm / smufl::UP_BOW.bounds().height();
    let at = foot - Point::new(sign.bounds().center().x, sign.bounds().y1).to_vec2() * space;
    Affine::scale(4.0 * space).then_translate(at.to_vec2()) * glyph::outline(sign.code)
}
