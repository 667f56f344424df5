//! Signs over the staff placed by time: tempo, words, rehearsal marks, endings, bar numbers.
//! Common practice, no source.

use std::ops::Range;

use kurbo::{Point, Rect};

use super::{
    page::Page,
    words::{WORDS_MM, below_the_staff},
};
use crate::{
    picture::{
        Anchor, Face, Ink, Pen, SPACE_MM, Tag, glyph,
        path::polyline,
        smufl::{self, defaults},
    },
    score::{Jumps, Quarters, SignKind},
};

const S: f64 = SPACE_MM;
/// Size of segno and coda, as a part of their size in the font. Assumed.
const JUMP_SIZE: f64 = 0.8;
/// Size of tempo marks.
const TEMPO_MM: f64 = 2.15 * S;

impl Page<'_> {
    /// Endings, and over them tempo, words and rehearsal marks.
    pub(super) fn over_the_staff(&mut self) {
        self.endings();
        for sign in &self.lesson.score.signs {
            let SignKind::Words(text) = &sign.kind else { continue };
            if below_the_staff(text) || text.trim().is_empty() {
                continue;
            }
            if self.ends_a_bar(sign.at, text) {
                // Also the bar that ends the system.
                if sign.at > self.from && sign.at <= self.to {
                    self.text_before(sign.at, text);
                }
            } else if self.in_window(sign.at) {
                self.text_over(sign.at, text, WORDS_MM, Face::SansItalic);
            }
        }
        let signs: Vec<_> = self.lesson.score.signs.iter().filter(|sign| self.in_window(sign.at)).collect();
        for sign in &signs {
            let SignKind::Tempo { text, .. } = &sign.kind else { continue };
            if !text.trim().is_empty() {
                self.text_over(sign.at, text, TEMPO_MM, Face::SansBold);
            }
        }
        for sign in &signs {
            let SignKind::Rehearsal(text) = &sign.kind else { continue };
            let size = 2.3 * S;
            let width = glyph::text_width_mm(text, size, Face::SansBold);
            let x = self.axis.barline_x(sign.at);
            let y = self.text_row(x - 0.4 * S, width + 1.4 * S, size + 0.8 * S) - 0.4 * S;
            let frame = Rect::new(x - 0.5 * S, y - 0.74 * size - 0.4 * S, x + width + 0.5 * S, y + 0.45 * S);
            self.picture.stroke(frame, Pen::solid(Ink::Text, defaults().text_enclosure_thickness * S));
            self.picture.text((x, y), text.clone(), size, (Face::SansBold, Anchor::Start, Ink::Text));
        }
        self.jumps();
    }

    /// Segno and coda over the start of their bars, and over the end what no words there say.
    fn jumps(&mut self) {
        for bar in &self.lesson.score.bars {
            if bar.jumps.is_empty() || !self.in_window(bar.start) {
                continue;
            }
            let signs = [(bar.jumps.segno, smufl::SEGNO), (bar.jumps.coda, smufl::CODA)];
            for (_, sign) in signs.into_iter().filter(|(stands, _)| *stands) {
                let bounds = sign.bounds().scale_from_origin(JUMP_SIZE * S);
                let x = self.axis.barline_x(bar.start) - bounds.center().x;
                let x = x.max(self.sides.0 - bounds.x0);
                let y = self.text_row(x + bounds.x0, bounds.width(), bounds.height() / 0.8) - bounds.y1;
                self.sign(sign, Point::new(x, y), JUMP_SIZE, Ink::Text, None);
            }
            for words in self.lesson.score.unsaid_jumps(bar) {
                self.text_before(bar.end(), words);
            }
        }
    }

    /// Words at a barline that belong to the bar it ends: they say where one goes from there.
    fn ends_a_bar(&self, at: Quarters, text: &str) -> bool {
        let said = Jumps::from_words(text);
        let bars = &self.lesson.score.bars;
        let ended = bars.partition_point(|bar| bar.end() < at);
        !said.is_empty() && bars.get(ended).is_some_and(|bar| bar.end() == at && bar.jumps.has(&said))
    }

    /// Words that end at a barline.
    fn text_before(&mut self, at: Quarters, text: &str) {
        let width = glyph::text_width_mm(text, WORDS_MM, Face::SansItalic);
        let x = (self.axis.barline_x(at).min(self.sides.1) - width - 0.3 * S).max(0.0);
        let y = self.text_row(x, width, WORDS_MM);
        self.words(Point::new(x, y), text, WORDS_MM, Face::SansItalic);
    }

    /// Words over the staff; at its right end they move in rather than out of the picture.
    fn text_over(&mut self, at: Quarters, text: &str, size: f64, face: Face) {
        let width = glyph::text_width_mm(text, size, face);
        let x = (self.axis.x(at) - 0.6 * S).min(self.sides.1 - width).max(0.0);
        let y = self.text_row(x, width, size);
        self.words(Point::new(x, y), text, size, face);
    }

    /// Baseline of a text that is laid over what is there, and takes that room.
    pub(super) fn text_row(&mut self, x: f64, width: f64, size: f64) -> f64 {
        let y = self.above.top(x, x + width, self.top - 1.2 * S) - 0.7 * S;
        self.above.add(x, x + width, y - 0.8 * size);
        y
    }

    /// Brackets over the endings of repeats; those that follow each other on one line.
    fn endings(&mut self) {
        let bars = &self.lesson.score.bars;
        let under = |bar: usize| bars.get(bar).and_then(|bar| bar.ending.as_ref());
        let mut index = 0;
        while index < bars.len() {
            // From where to where, which numbers, whether the repeat ends there.
            let mut row: Vec<(f64, f64, &String, bool)> = Vec::new();
            while let Some(numbers) = under(index) {
                let first = index;
                index += bars[first..].iter().take_while(|bar| bar.ending.as_ref() == Some(numbers)).count();
                let (start, end) = (bars[first].start, bars[index - 1].end());
                if end > self.from && start < self.to {
                    let x0 = self.axis.barline_x(start).max(self.sides.0) + 0.2 * S;
                    let x1 = self.axis.barline_x(end).min(self.sides.1) - 0.4 * S;
                    row.push((x0, x1, numbers, bars[index - 1].repeat_end));
                }
            }
            index += 1;
            let tops = row.iter().map(|(x0, x1, ..)| self.above.top(*x0, *x1, self.top - 2.2 * S));
            let Some(y) = tops.reduce(f64::min).map(|top| top - 2.4 * S) else { continue };
            for (x0, x1, numbers, closed) in row {
                self.ending(x0..x1, y, numbers, closed);
            }
        }
    }

    fn ending(&mut self, x: Range<f64>, y: f64, numbers: &str, closed: bool) {
        self.above.add(x.start, x.end, y);
        let mut points = vec![(x.start, y + 2.0 * S), (x.start, y), (x.end, y)];
        if closed {
            points.push((x.end, y + 2.0 * S));
        }
        let pen = Pen::solid(Ink::Text, defaults().repeat_ending_line_thickness * S);
        self.picture.stroke(polyline(points), pen);
        let text = format!("{}.", numbers.trim_end_matches('.'));
        let style = (Face::SansBold, Anchor::Start, Ink::Text);
        self.picture.text((x.start + 0.6 * S, y + 1.6 * S), text, 1.6 * S, style);
    }

    /// Printed bar numbers, small, over the barlines.
    pub(super) fn bar_numbers(&mut self) {
        for (index, bar) in self.lesson.score.bars.iter().enumerate() {
            if !self.in_window(bar.start)
                || bar.number.is_empty()
                || bar.pickup
                || self.engraving.is_inside_rest(index)
            {
                continue;
            }
            let size = 1.4 * S;
            let width = glyph::text_width_mm(&bar.number, size, Face::Sans);
            let x = self.axis.barline_x(bar.start);
            // It ends at the barline, clear of what stands over the first note.
            let x = x + 0.35 * S;
            let y = self.above.top(x - width, x, self.top - 0.2 * S) - 0.45 * S;
            self.above.add(x - width, x, y - 0.8 * size);
            let style = (Face::Sans, Anchor::End, Ink::Faint);
            self.picture.text((x, y), bar.number.clone(), size, style);
            if let Some(number) = self.picture.items.last_mut() {
                number.set_tag(Some(Tag::Bar(index)));
            }
        }
    }
}
