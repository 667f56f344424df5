//! Signs over the staff placed by time: tempo, words, rehearsal marks, endings, bar numbers.
//! Common practice, no source.

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
    score::{Quarters, SignKind},
};

const S: f64 = SPACE_MM;
/// Size of segno and coda, as a part of their size in the font. Assumed.
const JUMP_SIZE: f64 = 0.8;
/// Size of tempo marks.
const TEMPO_MM: f64 = 2.15 * S;

impl Page<'_> {
    /// Tempo, words and rehearsal marks over everything else.
    pub(super) fn over_the_staff(&mut self) {
        let signs: Vec<_> = self.lesson.score.signs.iter().filter(|sign| self.in_window(sign.at)).collect();
        for sign in &signs {
            if let SignKind::Words(text) = &sign.kind
                && !below_the_staff(text)
                && !text.trim().is_empty()
            {
                self.text_over(sign.at, text, WORDS_MM, Face::SansItalic);
            }
        }
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
        self.endings();
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
                let width = glyph::text_width_mm(words, WORDS_MM, Face::SansItalic);
                let x = (self.axis.barline_x(bar.end()) - width - 0.5 * S).max(0.0);
                let y = self.text_row(x, width, WORDS_MM);
                self.words(Point::new(x, y), words, WORDS_MM, Face::SansItalic);
            }
        }
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

    fn endings(&mut self) {
        let bars = &self.lesson.score.bars;
        let mut index = 0;
        while index < bars.len() {
            let Some(numbers) = &bars[index].ending else {
                index += 1;
                continue;
            };
            let count = bars[index..].iter().take_while(|bar| bar.ending.as_ref() == Some(numbers)).count();
            let (start, end) = (bars[index].start, bars[index + count - 1].end());
            let closed = bars[index + count - 1].repeat_end;
            index += count;
            if end <= self.from || start >= self.to {
                continue;
            }
            let x0 = self.axis.barline_x(start).max(self.sides.0) + 0.2 * S;
            let x1 = self.axis.barline_x(end).min(self.sides.1) - 0.4 * S;
            let y = self.above.top(x0, x1, self.top - 2.2 * S) - 2.4 * S;
            self.above.add(x0, x1, y);
            let mut points = vec![(x0, y + 2.0 * S), (x0, y), (x1, y)];
            if closed {
                points.push((x1, y + 2.0 * S));
            }
            self.picture
                .stroke(polyline(points), Pen::solid(Ink::Text, defaults().repeat_ending_line_thickness * S));
            let text = format!("{}.", numbers.trim_end_matches('.'));
            self.picture.text(
                (x0 + 0.6 * S, y + 1.6 * S),
                text,
                1.6 * S,
                (Face::SansBold, Anchor::Start, Ink::Text),
            );
        }
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
