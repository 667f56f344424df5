//! Pencil marks: what a teacher writes over the notes, over all that is printed there.

use super::page::Page;
use crate::{
    bowing::{Density, PencilMark},
    picture::{Anchor, Face, Ink, SPACE_MM, Tag, glyph},
};

const S: f64 = SPACE_MM;
/// Size of the words, smaller than printed ones. Assumed.
const PENCIL_MM: f64 = 1.65 * S;
/// Room between two marks in a row.
const GAP: f64 = 1.5 * S;
/// A mark moves so far to the right, rather than into another row.
const SHIFT: f64 = 1.2 * S;
/// Rows of marks one over the other; where more would be needed, words are cut short. Assumed.
const ROWS: usize = 2;
/// No word is cut shorter than this.
const LEAST: f64 = 4.5 * S;

/// A mark on its way to its row.
struct Word {
    mark: usize,
    x: f64,
    text: String,
    size: f64,
}

impl Word {
    fn width(&self) -> f64 {
        glyph::text_width_mm(&self.text, self.size, Face::SansItalic)
    }

    fn right(&self) -> f64 {
        self.x + self.width()
    }

    /// Cuts the words short, to end before `right`.
    fn end_before(&mut self, right: f64) {
        let mut letters: Vec<char> = self.text.chars().collect();
        while self.right() > right && letters.pop().is_some() {
            let left: String = letters.iter().collect();
            self.text = format!("{}…", left.trim_end_matches([' ', ',']));
        }
    }
}

impl Page<'_> {
    /// The marks of the system, each over its note, in rows over all that is there.
    pub(super) fn pencil(&mut self, marks: &[PencilMark], density: Density, type_factor: f64) {
        let size = PENCIL_MM * type_factor;
        for word in self.pencil_rows(marks, density, size).into_iter().flatten() {
            // With the gap before it: the word may stand beside one of another row.
            let y = self.text_row(word.x - GAP, word.width() + GAP, size);
            let style = (Face::SansItalic, Anchor::Start, Ink::Pencil);
            self.picture.text((word.x, y), word.text, size, style);
            if let Some(item) = self.picture.items.last_mut() {
                item.set_tag(Some(Tag::Mark(word.mark)));
            }
        }
    }

    /// The words of the marks in rows, the lowest first.
    fn pencil_rows(&self, marks: &[PencilMark], density: Density, size: f64) -> Vec<Vec<Word>> {
        let mut rows: Vec<Vec<Word>> = Vec::new();
        let first = marks.partition_point(|mark| mark.at < self.from);
        let here = marks.iter().enumerate().skip(first).take_while(|(_, mark)| mark.at < self.to);
        for (index, mark) in here.filter(|(_, mark)| density.shows(mark.weight)) {
            let mut word = Word { mark: index, x: 0.0, text: mark.text.clone(), size };
            word.end_before(self.sides.1 - self.sides.0);
            word.x = (self.axis.x(mark.at) - 0.6 * S).min(self.sides.1 - word.width()).max(0.0);
            let most = SHIFT.min(self.sides.1 - word.right()).max(0.0);
            let shift = |row: &[Word]| row.last().map_or(0.0, |last| (last.right() + GAP - word.x).max(0.0));
            if let Some((by, row)) = rows.iter_mut().map(|row| (shift(row), row)).find(|(by, _)| *by <= most)
            {
                word.x += by;
                row.push(word);
                continue;
            }
            // Where the rows are full, the one that can spare most makes room.
            let room = |row: &Vec<Word>| row.last().map_or(0.0, |last| word.x - GAP - last.x);
            let is_full = rows.len() >= ROWS;
            let spare = rows.iter_mut().max_by(|a, b| room(a).total_cmp(&room(b)));
            match spare.filter(|row| is_full && room(row) >= LEAST) {
                Some(row) => {
                    row.iter_mut().next_back().into_iter().for_each(|last| last.end_before(word.x - GAP));
                    row.push(word);
                }
                None => rows.push(vec![word]),
            }
        }
        rows
    }
}
