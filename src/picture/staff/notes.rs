//! Heads, stems, flags, dots, accidentals, rests. Sizes are common practice, no source.

use kurbo::{Affine, Circle, Point, Rect, Vec2};

use super::{
    page::{BEAM_STEP, Page, Placed, STEM, STEM_LENGTH},
    symbols,
};
use crate::{
    picture::{
        Ink, Pen, SPACE_MM,
        engraving::{Chord, HEAD_HALF, SMALL},
        glyph,
        path::polygon,
    },
    score::{Event, Mark, Quarters},
};

const BREVE: char = '\u{1D15C}';
const WHOLE: char = '\u{1D15D}';
const HALF: char = '\u{1D157}';
const BLACK: char = '\u{1D158}';

impl Page<'_> {
    /// Places and draws every event of the window.
    pub(super) fn notes(&mut self) {
        for index in self.events.clone() {
            let event = &self.lesson.score.events[index];
            let chord = &self.engraving.chords[index];
            let scale = if event.grace.is_some() || event.cue { SMALL } else { 1.0 };
            let stem = !event.is_rest() && event.value.log2_whole < 0;
            let tip = if stem {
                self.free_tip(event, chord, scale)
            } else if chord.up {
                self.y(chord.high()) - 0.5 * SPACE_MM
            } else {
                self.y(chord.low()) + 0.5 * SPACE_MM
            };
            self.placed.push(Placed { x: self.head_x(index), tip, scale, stem });
        }
        self.beams();
        for index in self.events.clone() {
            let (event, chord) = (&self.lesson.score.events[index], &self.engraving.chords[index]);
            if event.is_rest() {
                self.rest(index, event, chord);
            } else {
                self.chord(index, event, chord);
            }
        }
    }

    /// End of a stem without a beam: an octave long, to the middle line from far ledger lines,
    /// longer where many flags need it.
    fn free_tip(&self, event: &Event, chord: &Chord, scale: f64) -> f64 {
        let flags = (-2 - i32::from(event.value.log2_whole)).max(0);
        let mut length = STEM_LENGTH + 0.6 * f64::from((flags - 2).max(0));
        length += if event.tremolo.is_some() { 0.4 } else { 0.0 };
        let middle = self.y(4);
        if chord.up {
            let tip = self.y(chord.high()) - length * SPACE_MM * scale;
            if scale == 1.0 { tip.min(middle) } else { tip }
        } else {
            let tip = self.y(chord.low()) + length * SPACE_MM * scale;
            if scale == 1.0 { tip.max(middle) } else { tip }
        }
    }

    fn chord(&mut self, index: usize, event: &Event, chord: &Chord) {
        let Some(Placed { x, tip, scale, stem }) = self.placed(index) else { return };
        let tag = self.tag(index);
        let space = SPACE_MM * scale;
        let ink = if event.cue { Ink::Faint } else { Ink::Text };
        let (head, half) = match event.value.log2_whole {
            1.. => (BREVE, 1.226),
            0 => (WHOLE, 0.828),
            -1 => (HALF, HEAD_HALF),
            _ => (BLACK, HEAD_HALF),
        };
        self.ledgers(x, half * space, chord.low(), chord.high());
        let side = if chord.up { 2.0 } else { -2.0 } * HEAD_HALF * space;
        let displaced = chord.up && chord.heads.iter().any(|head| head.displaced);
        for place in &chord.heads {
            let y = self.y(place.step);
            let hx = x + if place.displaced { side } else { 0.0 };
            if event.notes[place.note].harmonic {
                let diamond = [(-0.62, 0.0), (0.0, -0.52), (0.62, 0.0), (0.0, 0.52)];
                let path = polygon(diamond.map(|(px, py)| (hx + px * space, y + py * space)));
                let black = head == BLACK;
                self.picture.path(path, black.then_some(ink), Some(Pen::solid(ink, 0.16 * space)), tag);
            } else {
                // The font's heads have their middle 0.134 em above its baseline and start 0.05 em
                // right of the origin.
                let origin = (hx - (half + 0.2) * space, y + 0.536 * space);
                self.glyph(head, origin, scale, ink, tag);
            }
            if let Some(alter) = place.accidental {
                let ax = x + chord.accidental_x(place) * space;
                self.shape(symbols::accidental(alter), (ax, y), scale, ink, tag);
                let reach = if alter < 0.0 { (1.75, 0.75) } else { (1.4, 1.4) };
                self.take(ax, ax + space, y - reach.0 * space, y + reach.1 * space);
            }
            self.dots(event, place.step, x + half * space + if displaced { side } else { 0.0 }, chord, scale);
        }
        if stem {
            let from = self.y(if chord.up { chord.low() } else { chord.high() });
            let sx = self.stem_x(index);
            self.picture.line((sx, from), (sx, tip), Pen::solid(ink, STEM));
            if chord.beam.is_none() {
                self.flag(event, chord.up, Point::new(sx, tip), scale, ink);
            }
        }
        if let Some(strokes) = event.tremolo {
            self.tremolo(index, event, chord, strokes);
        }
        if event.grace.is_some_and(|grace| grace.slash) {
            let (sx, mid) = (self.stem_x(index), self.y(chord.high()) - 2.0 * space);
            let reach = 1.1 * space;
            self.picture.line(
                (sx - reach, mid + 0.8 * space),
                (sx + reach, mid - 0.6 * space),
                Pen::solid(ink, STEM),
            );
        }
        let (top, bottom) = (self.y(chord.high()) - 0.55 * space, self.y(chord.low()) + 0.55 * space);
        let (l, r) = (x - half * space, x + half * space);
        self.take(l, r, top.min(if stem { tip } else { top }), bottom.max(if stem { tip } else { bottom }));
    }

    fn ledgers(&mut self, x: f64, half: f64, low: i32, high: i32) {
        let reach = half + 0.42 * SPACE_MM;
        let pen = Pen::solid(Ink::Staff, 0.17 * SPACE_MM);
        let below = (low..=-2).filter(|step| step % 2 == 0);
        let above = (10..=high).filter(|step| step % 2 == 0);
        for step in below.chain(above) {
            let y = self.y(step);
            self.picture.line((x - reach, y), (x + reach, y), pen);
            self.take(x - reach, x + reach, y, y);
        }
    }

    fn dots(&mut self, event: &Event, step: i32, right: f64, chord: &Chord, scale: f64) {
        // In the space above for a note on a line; below for the lower of two voices.
        let step = match step.rem_euclid(2) {
            0 if chord.shared_bar && !chord.up => step - 1,
            0 => step + 1,
            _ => step,
        };
        for dot in 0..event.value.dots.min(4) {
            let x = right + (0.62 + 0.55 * f64::from(dot)) * SPACE_MM * scale;
            let path = Circle::new((x, self.y(step)), 0.2 * SPACE_MM * scale);
            self.picture.fill(path, Ink::Text);
        }
    }

    fn flag(&mut self, event: &Event, up: bool, tip: Point, scale: f64, ink: Ink) {
        let flags = (-2 - i32::from(event.value.log2_whole)).clamp(0, 5);
        let Some(sign) = [
            None,
            Some('\u{1D16E}'),
            Some('\u{1D16F}'),
            Some('\u{1D170}'),
            Some('\u{1D171}'),
            Some('\u{1D172}'),
        ][flags as usize] else {
            return;
        };
        let size = 4.0 * SPACE_MM * scale;
        let Some(outline) = glyph::bounds(sign) else { return };
        let flip = if up { 1.0 } else { -1.0 };
        let x0 = tip.x - STEM / 2.0;
        let hung = Affine::translate((0.0, -outline.y0))
            .then_scale_non_uniform(size, flip * size)
            .then_translate(Vec2::new(x0, tip.y));
        let taken = hung.transform_rect_bbox(outline);
        if up {
            self.above.add(x0, taken.x1, taken.y0)
        } else {
            self.below.add(x0, taken.x1, taken.y1)
        }
        self.picture.fill(hung * glyph::outline(sign), ink);
    }

    fn tremolo(&mut self, index: usize, event: &Event, chord: &Chord, strokes: u8) {
        let Some(placed) = self.placed(index) else { return };
        let strokes = if strokes == 0 { 3 } else { strokes.min(5) };
        let beams = if chord.beam.is_some() { (-2 - i32::from(event.value.log2_whole)).max(0) } else { 0 };
        let up = chord.up;
        let (x, start) = if placed.stem {
            let inward = if up { 1.0 } else { -1.0 };
            (self.stem_x(index), placed.tip + inward * (0.9 + BEAM_STEP * f64::from(beams)) * SPACE_MM)
        } else {
            let away = if up { -1.0 } else { 1.0 };
            let outer = self.y(if up { chord.high() } else { chord.low() });
            (placed.x, outer + away * (1.3 + 0.8 * f64::from(strokes - 1)) * SPACE_MM)
        };
        let step = if up { 0.8 } else { -0.8 } * SPACE_MM;
        for k in 0..strokes {
            let y = start + step * f64::from(k);
            let (w, rise, t) = (0.65 * SPACE_MM, 0.28 * SPACE_MM, 0.21 * SPACE_MM);
            let bar =
                [(x - w, y + rise - t), (x + w, y - rise - t), (x + w, y - rise + t), (x - w, y + rise + t)];
            self.picture.fill(polygon(bar), Ink::Text);
        }
        self.take(x - SPACE_MM, x + SPACE_MM, start.min(start + step * 3.0), start.max(start + step * 3.0));
    }

    fn rest(&mut self, index: usize, event: &Event, chord: &Chord) {
        let tag = self.tag(index);
        let mut x = self.head_x(index);
        let bar = self.bar_filled_by(event);
        if let Some((start, end)) = bar {
            x = (self.axis.x(start) - HEAD_HALF * SPACE_MM + self.axis.barline_x(end)) / 2.0;
        }
        let shift = f64::from(-chord.rest_shift) * SPACE_MM / 2.0;
        let top = self.top + shift;
        let line = |spaces: f64| top + spaces * SPACE_MM;
        let log2 = if bar.is_some() { 0 } else { event.value.log2_whole };
        let ink = if event.cue { Ink::Faint } else { Ink::Text };
        let block = |a: f64, b: f64| Rect::new(x - 0.72 * SPACE_MM, line(a), x + 0.72 * SPACE_MM, line(b));
        match log2 {
            1.. => {
                let path = Rect::new(x - 0.32 * SPACE_MM, line(1.0), x + 0.32 * SPACE_MM, line(2.0));
                self.picture.path(path, Some(ink), None, tag);
            }
            0 => self.picture.path(block(1.0, 1.5), Some(ink), None, tag),
            -1 => self.picture.path(block(1.5, 2.0), Some(ink), None, tag),
            _ => {
                let place = (-2 - i32::from(log2)).clamp(0, 5) as usize;
                let sign =
                    ['\u{1D13D}', '\u{1D13E}', '\u{1D13F}', '\u{1D140}', '\u{1D141}', '\u{1D142}'][place];
                if let Some(bounds) = glyph::bounds(sign) {
                    let middle = bounds.center().x * 4.0 * SPACE_MM;
                    self.glyph(sign, (x - middle, line(4.0)), 1.0, ink, tag);
                }
            }
        }
        let half = if log2 >= -1 { 0.72 } else { 0.45 } * SPACE_MM;
        if bar.is_none() {
            self.dots(event, 5 + chord.rest_shift, x + half, chord, 1.0);
        }
        self.take(x - half, x + half, line(0.6), line(3.4));
        if event.marks.contains(&Mark::Fermata)
            && let Some(placed) = self.placed.get_mut(index - self.events.start)
        {
            placed.x = x;
        }
    }

    /// Start and end of the bar, for a rest that fills it: such a rest stands in the middle, whatever its value.
    fn bar_filled_by(&self, event: &Event) -> Option<(Quarters, Quarters)> {
        let score = &self.lesson.score;
        let bar = score.bars.get(score.bar_at(event.onset)?)?;
        let fills = event.onset == bar.start && event.duration == bar.length;
        (event.whole_bar || fills).then(|| (bar.start, bar.end()))
    }
}
