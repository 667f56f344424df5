//! Lines from note to note and over notes: glissandi, trills, octave lines. Common practice, no source.

use kurbo::{Affine, Point};

use super::page::Page;
use crate::{
    picture::{
        Anchor, Face, Ink, Pen, SPACE_MM, glyph, lettering, smufl,
        smufl::{Sign, defaults},
    },
    score::{Event, Mark, Quarters, SignKind},
};

const S: f64 = SPACE_MM;
/// What stands over the line of a glissando, and how large, mm.
const GLISSANDO: &str = "gliss.";
const SLIDE_SIZE: f64 = 1.3 * S;

impl Page<'_> {
    /// The lines from a note to the next.
    pub(super) fn slides(&mut self) {
        for slide in &self.engraving.slides {
            if slide.to < self.events.start || slide.from >= self.events.end {
                continue;
            }
            let chords = &self.engraving.chords;
            let (from, to) = (&chords[slide.from], &chords[slide.to]);
            let x0 = match slide.from >= self.events.start {
                true => self.head_x(slide.from) + (from.right + 0.25) * S,
                false => self.sides.0 - 1.5 * S,
            };
            let x1 = match slide.to < self.events.end {
                true => self.head_x(slide.to) - (to.left + 0.25) * S,
                false => self.sides.1 - 0.4 * S,
            };
            let wavy = self.lesson.score.events[slide.from].marks.contains(&Mark::Glissando);
            for (a, b) in from.heads.iter().rev().zip(to.heads.iter().rev()) {
                // Of a line over the end of a system each half has its share of the way.
                let (mut y0, mut y1) = (self.y(a.step), self.y(b.step));
                if slide.from < self.events.start {
                    y0 = f64::midpoint(y0, y1);
                } else if slide.to >= self.events.end {
                    y1 = f64::midpoint(y0, y1);
                }
                self.slide(Point::new(x0, y0), Point::new(x1, y1), wavy);
            }
            // The highest line is named, where it begins.
            let highest = from.heads.last().zip(to.heads.last()).filter(|_| slide.from >= self.events.start);
            if let Some((a, b)) = highest {
                let (mut y1, y0) = (self.y(b.step), self.y(a.step));
                if slide.to >= self.events.end {
                    y1 = f64::midpoint(y0, y1);
                }
                self.name_slide(Point::new(x0, y0), Point::new(x1, y1));
            }
        }
    }

    fn slide(&mut self, from: Point, to: Point, wavy: bool) {
        if to.x < from.x + 0.6 * S {
            return;
        }
        if !wavy {
            let pen = Pen::solid(Ink::Text, defaults().hairpin_thickness * S);
            self.picture.line(from, to, pen);
            return;
        }
        let wave = smufl::GLISSANDO;
        let (way, step) = (to - from, wave.advance() * S);
        let count = (way.hypot() / step).floor().max(1.0) as u32;
        let low = wave.bounds().center().y * 4.0 * S / 4.0;
        for k in 0..count {
            let along = Affine::translate((f64::from(k) * step, -low)) * Affine::scale(4.0 * S);
            let turned = Affine::translate(from.to_vec2()) * Affine::rotate(way.atan2());
            self.picture.fill(turned * along * glyph::outline(wave.code), Ink::Text);
        }
    }

    /// The word over the line of a glissando, along it, where the line is long enough.
    fn name_slide(&mut self, from: Point, to: Point) {
        let way = to - from;
        if way.hypot() < glyph::text_width_mm(GLISSANDO, SLIDE_SIZE, Face::SansItalic) + 1.0 * S {
            return;
        }
        let word = lettering::outline(GLISSANDO, Face::SansItalic, Anchor::Middle);
        let along = Affine::translate(from.midpoint(to).to_vec2())
            * Affine::rotate(way.atan2())
            * Affine::translate((0.0, -0.55 * S))
            * Affine::scale(SLIDE_SIZE);
        self.picture.fill(along * word, Ink::Text);
    }

    /// The signs of trills with their wavy lines; a line that begins in an earlier system goes on without
    /// the sign.
    pub(super) fn trill_lines(&mut self) {
        let events = &self.lesson.score.events;
        let mut index = self.events.start;
        while index < self.events.end {
            let first = &events[index];
            index += 1;
            if !first.marks.contains(&Mark::TrillLine) || self.goes_on_trilling(index - 1) {
                continue;
            }
            let last = self.last_under_trill(index - 1);
            let x0 = self.head_x(index - 1) - 0.6 * S;
            let x1 = self.end_x(events[last].end()).min(self.sides.1) - 0.8 * S;
            let sign = first.marks.contains(&Mark::Trill).then_some(smufl::TRILL);
            self.trill_line(x0, x1, sign);
        }
    }

    /// A trill that began at a note before, in this system.
    fn goes_on_trilling(&self, index: usize) -> bool {
        let events = &self.lesson.score.events;
        let own = |event: &&_| same_line(event, &events[index]);
        let before = events[self.events.start..index].iter().map(|event| &**event).rfind(own);
        before.is_some_and(|event| event.marks.contains(&Mark::TrillLine))
            && !events[index].marks.contains(&Mark::Trill)
    }

    fn last_under_trill(&self, first: usize) -> usize {
        let events = &self.lesson.score.events;
        let later = (first + 1..self.events.end).filter(|&k| same_line(&events[k], &events[first]));
        let under = later.take_while(|&k| {
            events[k].marks.contains(&Mark::TrillLine) && !events[k].marks.contains(&Mark::Trill)
        });
        under.last().unwrap_or(first)
    }

    fn trill_line(&mut self, x0: f64, x1: f64, sign: Option<Sign>) {
        let wave = smufl::TRILL_LINE;
        let foot = self.above.top(x0, x1.max(x0 + 2.0 * S), self.top - 0.35 * S) - 0.5 * S;
        let mut x = x0;
        let mut middle = foot - wave.bounds().height() * S;
        if let Some(sign) = sign {
            let taken = self.sign(sign, (x - sign.bounds().x0 * S, foot), 1.0, Ink::Text, None);
            x = taken.x1 + 0.2 * S;
            middle = taken.center().y;
            self.above.add(taken.x0, taken.x1, taken.y0);
        }
        let (step, bounds) = (wave.advance() * S, wave.bounds());
        let count = ((x1 - x) / step).floor().max(0.0) as u32;
        for k in 0..count {
            let at = (x + f64::from(k) * step, middle - bounds.center().y * S);
            self.sign(wave, at, 1.0, Ink::Text, None);
        }
        self.above.add(x, x + f64::from(count) * step, middle - 0.5 * S);
    }

    /// Octave lines over or under all that stands on their notes.
    pub(super) fn octave_lines(&mut self) {
        for sign in &self.lesson.score.signs {
            let SignKind::OctaveLine { octaves, end } = sign.kind else { continue };
            if end > self.from && sign.at < self.to {
                self.octave_line((sign.at, end), octaves);
            }
        }
    }

    fn octave_line(&mut self, (at, end): (Quarters, Quarters), octaves: i8) {
        let Some(sign) = smufl::octaves(octaves) else { return };
        let above = octaves > 0;
        let goes_on = at < self.from;
        let x0 = if goes_on { self.sides.0 - 1.0 * S } else { self.axis.x(at) - 0.8 * S };
        let events = &self.lesson.score.events;
        let last = self.events.clone().rfind(|&k| events[k].onset < end && !events[k].is_rest());
        let x1 = last.map_or(x0, |last| self.head_x(last) + 1.2 * S);
        let x1 = if end > self.to { self.sides.1 - 0.4 * S } else { x1.min(self.sides.1) };
        let right = x1.max(x0 + (sign.bounds().width() + 1.0) * S);
        // The sign hangs from the line over the staff, and stands on the one under it.
        let high = sign.bounds().height() * S;
        let line = if above {
            self.above.top(x0, right, self.top - 0.8 * S) - 0.6 * S - high
        } else {
            self.below.bottom(x0, right, self.bottom() + 0.8 * S) + 0.6 * S + high
        };
        let foot = if above { line + high } else { line };
        let mut x = x0;
        if goes_on {
            x = self.sign(smufl::OCTAVE_LEFT, (x, foot), 1.0, Ink::Text, None).x1 + 0.1 * S;
        }
        x = self.sign(sign, (x - sign.bounds().x0 * S, foot), 1.0, Ink::Text, None).x1;
        if goes_on {
            x = self.sign(smufl::OCTAVE_RIGHT, (x + 0.2 * S, foot), 1.0, Ink::Text, None).x1;
        }
        if x1 > x + 0.8 * S {
            self.picture.line((x + 0.4 * S, line), (x1, line), Pen::dashed(Ink::Text, 0.16 * S));
            // The line turns to the staff where it ends.
            if end <= self.to {
                let hook = if above { line + 1.2 * S } else { line - 1.2 * S };
                self.picture.line((x1, line), (x1, hook), Pen::solid(Ink::Text, 0.16 * S));
            }
        }
        if above {
            self.above.add(x0, right, line - 0.3 * S);
        } else {
            self.below.add(x0, right, line + 0.3 * S);
        }
    }
}

/// Notes of one voice that follow each other in time.
fn same_line(event: &Event, other: &Event) -> bool {
    event.voice == other.voice && event.grace.is_none()
}
