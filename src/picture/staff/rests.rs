//! Rests of several bars. Common practice, no source.

use kurbo::{Point, Rect};

use super::page::Page;
use crate::picture::{Ink, SPACE_MM, smufl, smufl::Sign, smufl::defaults};

const S: f64 = SPACE_MM;
/// Room left free at both ends of the bar of a wide rest. Assumed.
const ENDS: f64 = 1.2 * S;

impl Page<'_> {
    /// Draws the bars of rest that are printed as one: a thick bar between two strokes through the middle
    /// of the staff, and over it how many bars it stands for.
    pub(super) fn wide_rests(&mut self) {
        let bars = &self.lesson.score.bars;
        for run in &self.engraving.rests {
            let (start, end) = (bars[run.start].start, bars[run.end - 1].end());
            if end <= self.from || start >= self.to {
                continue;
            }
            // From behind what stands at its first barline, as far as it is shown.
            let left = self.axis.x(start) - self.engraving.first_note_room(run.start, start) * S;
            let left = left.max(self.sides.0 + ENDS);
            let right = self.axis.barline_x(end).min(self.sides.1) - ENDS;
            let tag = self
                .lesson
                .score
                .events
                .get(self.events.start..)
                .and_then(|events| events.iter().find(|event| event.onset >= start && event.onset < end));
            let tag = tag.map(|event| crate::picture::Tag::Event(event.id));
            let middle = self.top + 2.0 * S;
            let half = defaults().h_bar_thickness / 2.0 * S;
            if right > left + 2.0 * S {
                let stroke = defaults().thin_barline_thickness * S;
                let boxes = [
                    Rect::new(left, middle - half, right, middle + half),
                    Rect::new(left - stroke, middle - S, left, middle + S),
                    Rect::new(right, middle - S, right + stroke, middle + S),
                ];
                for shape in boxes {
                    self.picture.path(shape, Some(Ink::Text), None, tag);
                }
            }
            let digits: Vec<Sign> = run.len().to_string().chars().filter_map(smufl::time_digit).collect();
            let at = Point::new((left + right) / 2.0, self.top - 1.6 * S);
            let width = self.digits(&digits, at, 1.0, Ink::Text);
            self.above.add(at.x - width / 2.0, at.x + width / 2.0, at.y - S);
        }
    }
}
