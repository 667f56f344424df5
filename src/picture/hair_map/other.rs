//! Another version's way of the bow on the hair map.

use kurbo::{Point, Rect};

use super::Map;
use crate::{
    analysis::Study,
    bowing::Reached,
    picture::{Anchor, Face, Ink, Pen, glyph, path::polyline},
};

/// A note starts elsewhere if it does by more than this, mm of hair. Assumed.
const APART_FROM_MM: f64 = 3.0;

/// Another bowing of the same notes, drawn thin and dashed under the plan.
#[derive(Clone, Copy, Debug)]
pub struct OtherPath<'a> {
    /// The other version; its notes are those of the one on the map.
    pub study: &'a Study,
    /// What it is, for the map: "before".
    pub words: &'a str,
}

impl Map<'_> {
    /// The other path, with a small square where a stroke starts elsewhere than in the plan. Gives
    /// the places where notes start elsewhere, those furthest from the plan first.
    pub(super) fn other(&mut self, other: &OtherPath<'_>) -> Vec<Point> {
        let analysis = other.study.analysis();
        let hair = other.study.lesson().setup.bow.hair_mm.max(1.0);
        let y = |hair_mm: f64| self.frog_y + (self.tip_y - self.frog_y) * hair_mm / hair;
        let planned = |k: usize| {
            let event = analysis.note(k).id();
            let note = self.study.analysis().line.notes.iter().position(|note| note.id() == event)?;
            let k = self.study.analysis().bowed_of(note)?;
            self.study.analysis().plan.solution.start_mm.get(k).map(|mm| self.y(*mm))
        };
        let pieces = self.pieces(analysis);
        let (mut lines, mut squares, mut apart) = (Vec::new(), Vec::new(), Vec::new());
        for run in Self::runs(analysis, &pieces) {
            let mut line = Vec::new();
            for piece in run {
                let (start, end) = analysis.ends_mm(piece.k);
                let (a, b) = piece.ends(start, end);
                let start = Point::new(piece.x.0, y(a));
                line.extend([start, Point::new(piece.x.1, y(b))]);
                let off = planned(piece.k).map_or(f64::INFINITY, |planned| (planned - start.y).abs());
                if piece.share.0 == 0.0 && off > APART_FROM_MM / hair * (self.frog_y - self.tip_y) {
                    if analysis.bowed(piece.k).reached != Reached::SameStroke {
                        squares.push(start);
                    }
                    apart.push((off, start));
                }
            }
            lines.push(polyline(line));
        }
        for line in lines {
            self.picture.stroke(line, Pen::dashed(Ink::Ghost, 0.35));
        }
        for at in squares {
            let square = Rect::from_center_size(at, (1.3, 1.3));
            self.picture.path(square, Some(Ink::Paper), Some(Pen::solid(Ink::Ghost, 0.3)), None);
        }
        apart.sort_by(|a, b| b.0.total_cmp(&a.0));
        apart.into_iter().map(|(_, at)| at).collect()
    }

    /// Says what the other path is, beside one of the places where it leaves the plan.
    pub(super) fn other_words(&mut self, other: &OtherPath<'_>, apart: &[Point]) {
        let width = glyph::text_width_mm(other.words, self.words_mm, Face::SansItalic);
        let beside = |at: &Point| {
            let at = *at;
            [-1.6, 3.6, -5.0, 7.0].map(|dy| [1.4, -1.4 - width].map(|dx| at + (dx, dy))).concat()
        };
        let inside =
            |at: &Point| at.y > self.tip_y + self.words_mm && at.y < self.frog_y - 0.3 * self.words_mm;
        let spots: Vec<Point> = apart.iter().flat_map(beside).filter(inside).collect();
        self.label(other.words, width, &spots, (Face::SansItalic, Anchor::Start, Ink::Ghost), None);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Lesson, change, demo::demo},
        picture::{Engraving, Item, System, TimeAxis, hair_map},
    };

    /// What is drawn of another version over the demo: its dashed lines, squares, and words.
    fn drawn(lesson: &Lesson, other: &Lesson) -> (usize, usize, usize) {
        let axis = TimeAxis::new(&lesson.score, &Engraving::new(&lesson.score));
        let other = Study::new(other.clone());
        let path = OtherPath { study: &other, words: "before" };
        let system = System::whole(&lesson.score, &axis, 0.0);
        let map = hair_map(&Study::new(lesson.clone()), &system, Some(path), 60.0, 1.0);
        let ghost =
            |item: &&Item| matches!(item, Item::Path { stroke: Some(pen), .. } if pen.ink == Ink::Ghost);
        let (squares, lines): (Vec<&Item>, Vec<&Item>) = map
            .picture
            .items
            .iter()
            .filter(ghost)
            .partition(|item| matches!(item, Item::Path { fill: Some(_), .. }));
        let words = |item: &&Item| matches!(item, Item::Text { text, .. } if text == "before");
        (lines.len(), squares.len(), map.picture.items.iter().filter(words).count())
    }

    #[test]
    fn another_way_of_the_bow_is_dashed_with_squares_and_named() {
        let lesson = demo();
        let slur = lesson.score.slurs.iter().find(|slur| slur.from == crate::score::EventId(1)).unwrap();
        let (other, _) = change::split_slur(&lesson, slur.to).unwrap().apply(&lesson).unwrap();
        let (lines, squares, words) = drawn(&lesson, &other);
        assert!(lines > 0 && squares > 0, "{lines} lines, {squares} squares");
        assert_eq!(words, 1);
    }

    #[test]
    fn where_nothing_differs_nothing_is_marked() {
        let (_, squares, words) = drawn(&demo(), &demo());
        assert_eq!((squares, words), (0, 0));
    }
}
