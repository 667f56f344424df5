//! Which dots of an image were drawn on, row by row.

use std::ops::Range;

/// From the first dot drawn on to the last, in each row.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Spans(Vec<(usize, usize)>);

/// A row nothing is drawn on.
const EMPTY: (usize, usize) = (usize::MAX, 0);

impl Spans {
    /// Nothing yet, in so many rows.
    pub fn none(rows: usize) -> Self {
        Self(vec![EMPTY; rows])
    }

    /// Something is drawn on a row, from a dot to before another.
    pub fn add(&mut self, row: usize, dots: Range<usize>) {
        let (from, to) = &mut self.0[row];
        (*from, *to) = ((*from).min(dots.start), (*to).max(dots.end));
    }

    /// The rows drawn on, with their dots.
    pub fn rows(&self) -> impl Iterator<Item = (usize, Range<usize>)> + '_ {
        let all = self.0.iter().enumerate().map(|(row, (from, to))| (row, *from..*to));
        all.filter(|(_, dots)| !dots.is_empty())
    }

    /// With so many dots more to every side, inside a width.
    pub fn grown(&self, by: usize, width: usize) -> Self {
        let mut grown = Self::none(self.0.len());
        for (row, dots) in self.rows() {
            let wide = dots.start.saturating_sub(by)..(dots.end + by).min(width);
            for near in row.saturating_sub(by)..(row + by + 1).min(self.0.len()) {
                grown.add(near, wide.clone());
            }
        }
        grown
    }
}

#[cfg(test)]
mod tests {
    use super::Spans;

    #[test]
    fn grown_to_every_side_and_no_farther_than_the_image() {
        let mut spans = Spans::none(5);
        spans.add(1, 4..6);
        spans.add(1, 3..4);
        spans.add(4, 0..1);
        let rows = |spans: &Spans| spans.rows().collect::<Vec<_>>();
        assert_eq!(rows(&spans), [(1, 3..6), (4, 0..1)]);
        assert_eq!(rows(&spans.grown(1, 7)), [(0, 2..7), (1, 2..7), (2, 2..7), (3, 0..2), (4, 0..2)]);
        assert_eq!(rows(&Spans::none(3).grown(2, 9)), []);
    }
}
