//! Sizes of what stands on a handout.

use crate::lesson::handout::Readers;

/// Sizes for those who read it. All assumed: type of 11 points for adults and 15 for children, staves of 7.5
/// and 10 mm.
#[derive(Clone, Copy, Debug)]
pub(super) struct Look {
    /// Type of the words, mm.
    pub body_mm: f64,
    /// Type of what stands at the foot, mm.
    pub small_mm: f64,
    /// Type of headings, mm.
    pub heading_mm: f64,
    /// Type of the title, mm.
    pub title_mm: f64,
    /// Factor on drawings.
    pub drawing: f64,
    /// Distance of lines to write on, mm.
    pub line_mm: f64,
    /// Height of a row of a table to fill in, mm.
    pub row_mm: f64,
    /// Part of the usual room between blocks.
    pub air: f64,
}

impl Look {
    pub fn new(readers: Readers) -> Self {
        match readers {
            Readers::Adults => Self {
                body_mm: 3.8,
                small_mm: 2.7,
                heading_mm: 5.0,
                title_mm: 8.6,
                drawing: 1.05,
                line_mm: 9.0,
                row_mm: 8.0,
                air: 1.0,
            },
            Readers::Children => Self {
                body_mm: 5.3,
                small_mm: 3.3,
                heading_mm: 6.8,
                title_mm: 11.0,
                drawing: 1.45,
                line_mm: 12.0,
                row_mm: 11.0,
                air: 1.0,
            },
        }
    }

    /// The same, set tighter by so many steps. Assumed: after three of them it still reads with ease.
    pub fn tighter(self, steps: u32) -> Self {
        let by = |part: f64| part.powi(steps as i32);
        Self {
            body_mm: self.body_mm * by(0.98),
            drawing: self.drawing * by(0.95),
            row_mm: self.row_mm * by(0.95),
            air: self.air * by(0.82),
            ..self
        }
    }

    /// From line to line of the words, mm.
    pub fn leading_mm(&self) -> f64 {
        1.42 * self.body_mm
    }

    /// Room between blocks, mm.
    pub fn gap_mm(&self) -> f64 {
        1.7 * self.body_mm * self.air
    }

    /// Longest line of words that is still read with ease, mm: about 75 letters. Common practice, no source.
    pub fn measure_mm(&self) -> f64 {
        40.0 * self.body_mm
    }
}
