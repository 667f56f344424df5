//! Heads, stems, flags, dots, accidentals, rests. Sizes are common practice, no source.

use kurbo::Point;

use super::page::{Page, Placed, STEM_LENGTH, beam_step, stem_mm};
use crate::{
    picture::{
        Ink, Pen, SPACE_MM,
        engraving::{Chord, DOT_STEP, LEAD_AIR, SMALL, head_half},
        smufl,
        smufl::defaults,
    },
    score::{Event, Mark, Quarters},
};

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
            if chord.hidden {
                continue;
            }
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
        self.ledgers(x, chord, space);
        for place in &chord.heads {
            let y = self.y(place.step);
            let hx = x + if place.displaced { chord.displacement() * space } else { 0.0 };
            let head = if event.notes[place.note].harmonic {
                smufl::HEAD_DIAMOND
            } else {
                smufl::head(event.value.log2_whole)
            };
            let left = hx - head.bounds().width() / 2.0 * space;
            self.sign(head, (left, y), scale, ink, tag);
            if let Some(alter) = place.accidental {
                let at = (x + place.accidental_x * space, y);
                let taken = self.sign(smufl::accidental(alter), at, scale, ink, tag);
                self.take(taken.x0, taken.x1, taken.y0, taken.y1);
            }
            self.dots(event, place.dot_step, x + chord.dots_x * space, scale, ink);
        }
        if stem {
            let outer = if chord.up { chord.heads.first() } else { chord.heads.last() };
            let head = smufl::head(event.value.log2_whole);
            let meets = head.anchor(if chord.up { "stemUpSE" } else { "stemDownNW" }).map_or(0.0, |at| at.y);
            let from = outer.map_or(tip, |outer| self.y(outer.step) + meets * space);
            let sx = self.stem_x(index);
            self.picture.line((sx, from), (sx, tip), Pen::solid(ink, stem_mm()));
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
                Pen::solid(ink, stem_mm()),
            );
        }
        let (top, bottom) = (self.y(chord.high()) - 0.5 * space, self.y(chord.low()) + 0.5 * space);
        let (l, r) = (x - chord.half * space, x + chord.half * space);
        self.take(l, r, top.min(if stem { tip } else { top }), bottom.max(if stem { tip } else { bottom }));
    }

    /// Ledger lines, as long as the heads on and beyond them ask for.
    fn ledgers(&mut self, x: f64, chord: &Chord, space: f64) {
        let pen = Pen::solid(Ink::Staff, defaults().leger_line_thickness * SPACE_MM);
        let reach = (chord.half + defaults().leger_line_extension) * space;
        let below = (chord.low()..=-2).filter(|step| step % 2 == 0);
        let above = (10..=chord.high()).filter(|step| step % 2 == 0);
        for step in below.chain(above) {
            let beyond = |displaced: bool| {
                let mut heads = chord.heads.iter().filter(|head| head.displaced == displaced);
                heads.any(|head| if step > 4 { head.step >= step } else { head.step <= step })
            };
            let side = chord.displacement() * space;
            let (l, r) = match (beyond(false), beyond(true)) {
                (true, true) => (side.min(0.0), side.max(0.0)),
                (false, true) => (side, side),
                _ => (0.0, 0.0),
            };
            let y = self.y(step);
            self.picture.line((x + l - reach, y), (x + r + reach, y), pen);
            self.take(x + l - reach, x + r + reach, y, y);
        }
    }

    fn dots(&mut self, event: &Event, step: i32, left: f64, scale: f64, ink: Ink) {
        for dot in 0..event.value.dots.min(4) {
            let x = left + DOT_STEP * f64::from(dot) * SPACE_MM * scale;
            let taken = self.sign(smufl::DOT, (x, self.y(step)), scale, ink, None);
            self.take(taken.x0, taken.x1, taken.y0, taken.y1);
        }
    }

    fn flag(&mut self, event: &Event, up: bool, tip: Point, scale: f64, ink: Ink) {
        let Some((sign, meets)) = smufl::flag(event.value.log2_whole, up) else { return };
        let meets = sign.anchor(meets).unwrap_or_default().to_vec2() * SPACE_MM * scale;
        let left = tip - (stem_mm() / 2.0, 0.0);
        let taken = self.sign(sign, left - meets, scale, ink, None);
        if up {
            self.above.add(taken.x0, taken.x1, taken.y0)
        } else {
            self.below.add(taken.x0, taken.x1, taken.y1)
        }
    }

    /// Strokes through the stem, or over or under a head that has none.
    fn tremolo(&mut self, index: usize, event: &Event, chord: &Chord, strokes: u8) {
        let Some(placed) = self.placed(index) else { return };
        let sign = smufl::tremolo(strokes);
        let half = sign.bounds().height() / 2.0;
        let beams = if chord.beam.is_some() { (-2 - i32::from(event.value.log2_whole)).max(0) } else { 0 };
        let flagged = chord.beam.is_none() && event.value.log2_whole <= -3;
        let (x, y) = if placed.stem {
            let inward = if chord.up { 1.0 } else { -1.0 };
            let hung = if flagged { 1.6 } else { beam_step() * f64::from(beams) };
            (self.stem_x(index), placed.tip + inward * (0.35 + hung + half) * SPACE_MM * placed.scale)
        } else {
            let away = if chord.up { -1.0 } else { 1.0 };
            let outer = self.y(if chord.up { chord.high() } else { chord.low() });
            (placed.x, outer + away * (0.9 + half) * SPACE_MM)
        };
        let taken = self.sign_centred(sign, (x, y), placed.scale, Ink::Text, None);
        self.take(taken.x0, taken.x1, taken.y0, taken.y1);
    }

    fn rest(&mut self, index: usize, event: &Event, chord: &Chord) {
        let tag = self.tag(index);
        let mut x = self.head_x(index);
        let bar = self.bar_filled_by(event);
        if let Some((start, end)) = bar {
            // Between what stands before the bar and its end; at the start of a system that is in front of it.
            let left = if start == self.from {
                self.axis.barline_x(start)
            } else {
                self.axis.x(start) - (head_half() + LEAD_AIR) * SPACE_MM
            };
            x = f64::midpoint(left, self.end_x(end));
        }
        let scale = if event.cue { SMALL } else { 1.0 };
        let log2 = if bar.is_some() { 0 } else { event.value.log2_whole };
        let ink = if event.cue { Ink::Faint } else { Ink::Text };
        let sign = smufl::rest(log2);
        // A whole rest hangs from the line over the middle one, all others stand about that.
        let y = self.y(4 + chord.rest_shift) - if log2 == 0 { SPACE_MM } else { 0.0 };
        let half = sign.bounds().width() / 2.0 * SPACE_MM * scale;
        let taken = self.sign(sign, (x - half, y), scale, ink, tag);
        if bar.is_none() {
            self.dots(event, 5 + chord.rest_shift, x + chord.dots_x * SPACE_MM * scale, scale, ink);
            // Away from the staff it needs the piece of a line from which it hangs, or on which it stands.
            if (-1..=0).contains(&log2) && !(self.top..=self.bottom()).contains(&y) {
                let pen = Pen::solid(Ink::Staff, defaults().leger_line_thickness * SPACE_MM);
                let reach = half + defaults().leger_line_extension * SPACE_MM;
                self.picture.line((x - reach, y), (x + reach, y), pen);
            }
        }
        self.take(taken.x0, taken.x1, taken.y0, taken.y1);
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
