//! The tempo ladder: bars from left to right, tempos from slow to fast upward, and what does not
//! work where.

use kurbo::{Circle, Rect};

use super::{
    Anchor, Face, Ink, Pen, Picture, glyph,
    path::{Slant, hatch},
};
use crate::{advice::Ladder, bowing::Verdict, lesson::Lesson};

/// Room for the tempos at the left and the bar numbers below, mm.
const LEFT_MM: f64 = 19.0;
const FOOT_MM: f64 = 4.2;
const TOP_MM: f64 = 1.0;
const WORDS_MM: f64 = 2.6;
/// Narrowest column; several bars share one where there are many, mm. Assumed: still told apart.
const COLUMN_MM: f64 = 2.4;
/// Distance of the lines of a hatch, mm.
const HATCH_MM: f64 = 1.5;

/// A drawn ladder and its scales.
#[derive(Clone, Debug)]
pub struct TempoLadder {
    /// The drawing.
    pub picture: Picture,
    /// Left and right end of the plot, mm.
    pub sides: (f64, f64),
    /// y of the top and the foot of the plot, mm.
    pub ends: (f64, f64),
    /// Shares of the marked tempo at the foot and at the top.
    pub shares: (f64, f64),
    /// Bars in one column.
    pub bars_in_column: usize,
    columns: usize,
}

impl TempoLadder {
    /// y of a tempo, mm, held inside the plot.
    pub fn y(&self, share: f64) -> f64 {
        let (foot, top) = self.shares;
        let up = ((share - foot) / (top - foot).max(1e-9)).clamp(0.0, 1.0);
        self.ends.1 + (self.ends.0 - self.ends.1) * up
    }

    /// The tempo at a height, as a share of the marked tempo.
    pub fn share(&self, y_mm: f64) -> f64 {
        let up = ((self.ends.1 - y_mm) / (self.ends.1 - self.ends.0).max(1e-9)).clamp(0.0, 1.0);
        self.shares.0 + (self.shares.1 - self.shares.0) * up
    }

    /// The bars in the column at a place, as indices: first, and one past the last.
    pub fn bars_at(&self, x_mm: f64) -> (usize, usize) {
        let along = ((x_mm - self.sides.0) / (self.sides.1 - self.sides.0).max(1e-9)).clamp(0.0, 1.0);
        let column = ((along * self.columns as f64) as usize).min(self.columns.saturating_sub(1));
        (column * self.bars_in_column, (column + 1) * self.bars_in_column)
    }

    /// x of the left edge of the column of a bar, mm; between columns in proportion.
    pub fn x(&self, bar: f64) -> f64 {
        let width = (self.sides.1 - self.sides.0) / self.columns.max(1) as f64;
        self.sides.0 + width * bar / self.bars_in_column.max(1) as f64
    }
}

/// Draws the ladder. What runs out at a tempo is hatched, what cannot be played is hatched both
/// ways, what is tight has a ring, in all bars of the stroke.
pub fn tempo_ladder(lesson: &Lesson, ladder: &Ladder, width_mm: f64, height_mm: f64) -> TempoLadder {
    let bars = lesson.score.bars.len().max(1);
    let sides = (LEFT_MM, width_mm.max(LEFT_MM + 10.0) - 1.0);
    let most = ((sides.1 - sides.0) / COLUMN_MM).floor().max(1.0) as usize;
    let bars_in_column = bars.div_ceil(most);
    let columns = bars.div_ceil(bars_in_column);
    let ends = (TOP_MM, (height_mm - FOOT_MM).max(TOP_MM + 10.0));
    // Each tempo has a row of its own; the scale runs through the middles of the rows.
    let rows = ladder.shares.len().max(1) as f64;
    let (slow, fast) = (ladder.shares.first().copied(), ladder.shares.last().copied());
    let (slow, fast) = (slow.unwrap_or(0.5), fast.unwrap_or(1.1));
    let half = (fast - slow) / (rows - 1.0).max(1.0) / 2.0;
    let shares = (slow - half, fast + half);
    let picture = Picture::new(width_mm, height_mm);
    let mut drawn = TempoLadder { picture, sides, ends, shares, bars_in_column, columns };
    let row = (ends.1 - ends.0) / rows;
    let mut cells = vec![None; ladder.shares.len() * columns];
    for (k, rung) in ladder.rungs.iter().enumerate() {
        for spot in &rung.spots {
            let column = |bar: usize| (bar / bars_in_column).min(columns - 1);
            for column in column(spot.bars.0)..=column(spot.bars.1) {
                let cell: &mut Option<Verdict> = &mut cells[k * columns + column];
                // The worst verdict comes first in their order.
                *cell = Some(cell.map_or(spot.verdict, |worst| worst.min(spot.verdict)));
            }
        }
    }
    let width = (sides.1 - sides.0) / columns as f64;
    for (index, verdict) in cells.iter().enumerate() {
        let (k, column) = (index / columns, index % columns);
        let (x, y) = (sides.0 + width * column as f64, ends.1 - row * (k + 1) as f64);
        cell(&mut drawn.picture, Rect::new(x, y, x + width, y + row), *verdict);
    }
    frame(&mut drawn, lesson, ladder);
    drawn
}

fn cell(picture: &mut Picture, place: Rect, verdict: Option<Verdict>) {
    let inner = place.inflate(-0.15, -0.25);
    match verdict {
        Some(Verdict::Impossible) => {
            let mut lines = hatch(inner, HATCH_MM, Slant::Rising);
            lines.extend(hatch(inner, HATCH_MM, Slant::Falling));
            picture.stroke(lines, Pen::solid(Ink::Warn, 0.3));
        }
        Some(Verdict::RunsOut) => {
            picture.stroke(hatch(inner, HATCH_MM, Slant::Rising), Pen::solid(Ink::Warn, 0.3));
        }
        Some(Verdict::Tight) => {
            let radius = 0.28 * inner.height().min(inner.width()).min(3.0);
            let ring = Circle::new(inner.center(), radius);
            picture.stroke(ring, Pen::solid(Ink::Warn, 0.25));
        }
        Some(Verdict::Notice) | None => {}
    }
}

fn frame(drawn: &mut TempoLadder, lesson: &Lesson, ladder: &Ladder) {
    let (l, r) = drawn.sides;
    let (top, foot) = drawn.ends;
    let rows = ladder.shares.len().max(1) as f64;
    let row = (foot - top) / rows;
    for k in 0..=ladder.shares.len() {
        let y = foot - row * k as f64;
        drawn.picture.line((l, y), (r, y), Pen::solid(Ink::Rule, 0.2));
    }
    // Every tempo has its name where the rows are high enough, else every second one, and so on.
    let every = (WORDS_MM * 1.15 / row).ceil().max(1.0) as usize;
    for (k, share) in ladder.shares.iter().enumerate() {
        let whole = (share - 1.0).abs() < 1e-9;
        if k % every != 0 && !whole {
            continue;
        }
        let words = if whole { "as marked".to_owned() } else { format!("{:.0} %", share * 100.0) };
        let ink = if whole { Ink::Text } else { Ink::Faint };
        let at = (l - 1.5, drawn.y(*share) + 0.36 * WORDS_MM);
        drawn.picture.text(at, words, WORDS_MM, (Face::Sans, Anchor::End, ink));
    }
    // Bar numbers about every 12 mm, at round ones.
    let bars = lesson.score.bars.len();
    let width = (r - l) / bars.max(1) as f64;
    let step = [1, 2, 5, 10, 20, 50, 100, 200, 500].into_iter().find(|n| *n as f64 * width >= 9.0);
    for bar in (0..bars).step_by(step.unwrap_or(1000)) {
        let x = drawn.x(bar as f64);
        drawn.picture.line((x, top), (x, foot + 0.8), Pen::solid(Ink::Rule, 0.2));
        if lesson.score.bars[bar].pickup {
            continue;
        }
        let number = lesson.score.bars[bar].number.clone();
        // The last number must not leave the picture.
        let room = glyph::text_width_mm(&number, WORDS_MM, Face::Sans);
        let at = ((x + 0.3).min(drawn.picture.width_mm - room), foot + 3.4);
        drawn.picture.text(at, number, WORDS_MM, (Face::Sans, Anchor::Start, Ink::Faint));
    }
    drawn.picture.line((r, top), (r, foot), Pen::solid(Ink::Rule, 0.2));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        advice::{Rung, RungSpot},
        lesson::demo::demo,
        picture::Item,
    };

    fn one_spot() -> (Lesson, Ladder) {
        let lesson = demo();
        let event = lesson.score.events[0].id;
        let spot = RungSpot { event, place: "bar 1".to_owned(), bars: (0, 0), verdict: Verdict::RunsOut };
        let rung = |share, spots| Rung { share, spots };
        let rungs = vec![rung(0.5, vec![spot]), rung(0.75, Vec::new()), rung(1.0, Vec::new())];
        let shares = vec![0.5, 0.75, 1.0];
        (lesson, Ladder { shares, rungs, spots: Vec::new(), groups: Vec::new(), slow: Vec::new() })
    }

    #[test]
    fn scales_lead_there_and_back() {
        let (lesson, ladder) = one_spot();
        let drawn = tempo_ladder(&lesson, &ladder, 200.0, 40.0);
        for share in [0.5, 0.6, 0.75, 1.0] {
            assert!((drawn.share(drawn.y(share)) - share).abs() < 1e-9);
        }
        assert!(drawn.y(1.0) < drawn.y(0.5), "faster is higher");
        for bar in 0..lesson.score.bars.len() {
            assert_eq!(drawn.bars_at(drawn.x(bar as f64) + 0.1), (bar, bar + 1));
        }
    }

    #[test]
    fn a_spot_is_hatched_in_its_bar_and_row_only() {
        let (lesson, ladder) = one_spot();
        let drawn = tempo_ladder(&lesson, &ladder, 200.0, 40.0);
        let hatched: Vec<_> = drawn
            .picture
            .items
            .iter()
            .filter(|item| matches!(item, crate::picture::Item::Path { stroke: Some(pen), .. } if pen.ink == Ink::Warn))
            .filter_map(crate::picture::Item::bounds)
            .collect();
        assert_eq!(hatched.len(), 1);
        let at = hatched[0];
        assert!(at.x0 >= drawn.x(0.0) && at.x1 <= drawn.x(1.0), "{at:?}");
        assert!(at.y0 >= drawn.y(0.625) && at.y1 <= drawn.ends.1, "{at:?}");
    }

    #[test]
    fn a_stroke_over_a_barline_is_hatched_in_both_bars() {
        let (lesson, mut ladder) = one_spot();
        let hatched = |ladder: &Ladder| {
            let drawn = tempo_ladder(&lesson, ladder, 200.0, 40.0);
            let warns =
                |item: &&Item| matches!(item, Item::Path { stroke: Some(pen), .. } if pen.ink == Ink::Warn);
            let left = |item: &Item| item.bounds().map(|bounds| drawn.bars_at(bounds.x0).0);
            drawn.picture.items.iter().filter(warns).filter_map(left).collect::<Vec<_>>()
        };
        assert_eq!(hatched(&ladder), [0]);
        ladder.rungs[0].spots[0].bars = (0, 1);
        assert_eq!(hatched(&ladder), [0, 1]);
    }

    #[test]
    fn many_bars_share_columns() {
        let (mut lesson, ladder) = one_spot();
        let bar = lesson.score.bars[0].clone();
        lesson.score.bars = vec![bar; 900].into();
        let drawn = tempo_ladder(&lesson, &ladder, 200.0, 40.0);
        assert!(drawn.bars_in_column > 1);
        assert!(drawn.bars_at(drawn.sides.1).1 >= 900);
    }
}
