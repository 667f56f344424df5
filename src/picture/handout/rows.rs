//! What is filled in by hand: the table of practice, empty staves, lines.

use kurbo::Point;

use super::{Made, Missing, Press, leaf::repeated, slab::Slab};
use crate::{
    picture::{Anchor, Face, Ink, Pen, Picture, Role, SPACE_MM, Table, signed},
    score::{TypedTempo, count_words},
};

/// Columns of the table, with their parts of the width.
const COLUMNS: [(&str, f64); 4] = [("tempo", 0.16), ("times", 0.26), ("date", 0.18), ("how it went", 0.40)];

impl Press<'_> {
    /// A row for each tempo, to be filled in.
    pub(super) fn practice(&self, bars: &str, shares: &[f64], width_mm: f64) -> Made {
        let score = &self.study.lesson().score;
        let start = self.bars(bars)?.start;
        let Some(bar) = score.bars.get(start) else {
            return Err(Missing("There is no music yet.".to_owned()));
        };
        let qpm = score.tempo_map().qpm_at(bar.start);
        let beat = bar.time.beat();
        let tempos: Vec<String> = shares
            .iter()
            .filter_map(|share| {
                let beats = (qpm * share / beat.to_f64()).round().max(1.0);
                TypedTempo::new(&format!("{beats}"), beat).map(|tempo| tempo.text)
            })
            .collect();
        let look = &self.look;
        let (size, row) = (look.body_mm, look.row_mm);
        let head = 1.9 * size;
        let mut picture = Picture::new(width_mm, head + row * tempos.len() as f64 + 0.3);
        let (mut edges, mut heads) = (vec![0.0], Vec::new());
        for (name, part) in COLUMNS {
            let left = edges.last().copied().unwrap_or(0.0);
            let style = (Face::SansBold, Anchor::Start, Ink::Text);
            heads.push(picture.items.len()..picture.items.len() + 1);
            picture.text((left + 0.5 * size, 1.25 * size), name, 0.85 * size, style);
            edges.push(left + part * width_mm);
        }
        let mut rows = vec![heads];
        for (index, tempo) in tempos.iter().enumerate() {
            let y = head + row * index as f64 + 0.5 * row + 0.36 * size;
            let first = picture.items.len();
            signed::text(&mut picture, Point::new(0.5 * size, y), tempo, size, (Face::Sans, Ink::Text));
            let end = picture.items.len();
            let empty = std::iter::repeat_n(end..end, COLUMNS.len() - 1);
            rows.push(std::iter::once(first..end).chain(empty).collect());
        }
        for index in 0..=tempos.len() {
            let y = head + row * index as f64;
            let width = if index == 0 { 0.4 } else { 0.2 };
            picture.line((0.0, y), (width_mm, y), Pen::solid(Ink::Staff, width));
        }
        let foot = head + row * tempos.len() as f64;
        for x in &edges[1..edges.len() - 1] {
            picture.line((*x, 0.5 * head), (*x, foot), Pen::solid(Ink::Rule, 0.2));
        }
        let words = "A table to fill in while practising".to_owned();
        let table = Role::Table(Table { words, rows });
        let slab = Slab::new(picture.read_as(table), 0.8 * look.gap_mm());
        Ok(vec![Slab { cautions: repeated(), ..slab }])
    }

    pub(super) fn staves(&self, count: u8, width_mm: f64) -> Vec<Slab> {
        let space = SPACE_MM * self.look.drawing;
        let stave = |index: u8| {
            let mut picture = Picture::new(width_mm, 4.0 * space);
            for line in 0..5 {
                let y = space * f64::from(line);
                picture.line((0.0, y), (width_mm, y), Pen::solid(Ink::Staff, 0.2));
            }
            // One is told, the others are alike.
            if index == 0 {
                picture =
                    picture.read_as(Role::Figure(format!("Empty staves: {}", count_words(count.into()))));
            }
            Slab::new(picture, if index == 0 { 1.4 * self.look.gap_mm() } else { 5.0 * space })
        };
        (0..count).map(stave).collect()
    }

    pub(super) fn lines(&self, count: u8, width_mm: f64) -> Vec<Slab> {
        let height = self.look.line_mm;
        let line = |index: u8| {
            let mut picture = Picture::new(width_mm, height);
            picture.line((0.0, height - 0.2), (width_mm, height - 0.2), Pen::solid(Ink::Faint, 0.2));
            if index == 0 {
                let words = format!("Lines to write on: {}", count_words(count.into()));
                picture = picture.read_as(Role::Figure(words));
            }
            Slab::new(picture, 0.0)
        };
        (0..count).map(line).collect()
    }
}
