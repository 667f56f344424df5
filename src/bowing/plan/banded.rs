//! Symmetric positive definite matrices with two bands on either side of the diagonal.

/// A pentadiagonal symmetric matrix, and in place of it its factors `L D L^T`.
#[derive(Debug, Default)]
pub(super) struct Banded {
    rows: Vec<Row>,
}

/// The row `i` of the upper half: entries `(i, i)`, `(i, i + 1)`, `(i, i + 2)`. Factored, the
/// inverse of `D` and the two entries of the column `i` of `L`.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Row {
    pub on: f64,
    pub next: f64,
    pub after: f64,
}

impl Banded {
    /// Sets the size, with all entries 0.
    pub fn reset(&mut self, size: usize) {
        self.rows.clear();
        self.rows.resize(size, Row::default());
    }

    /// The rows, to be written before [`Banded::factor`].
    pub fn rows_mut(&mut self) -> &mut [Row] {
        &mut self.rows
    }

    /// Factors in place. A pivot that is not positive, which only rounding can make, is replaced by
    /// a huge one: that unknown then keeps its place.
    pub fn factor(&mut self) {
        // What the two rows above take away from this row and the next.
        let (mut on, mut next, mut later) = (0.0, 0.0, 0.0);
        for row in &mut self.rows {
            let pivot = row.on - on;
            let inverse = if pivot > 0.0 { 1.0 / pivot } else { 0.0 };
            let beside = row.next - next;
            let (l_next, l_after) = (beside * inverse, row.after * inverse);
            on = later + l_next * beside;
            next = l_next * row.after;
            later = l_after * row.after;
            *row = Row { on: inverse, next: l_next, after: l_after };
        }
    }

    /// Solves with the factors, in place.
    pub fn solve(&self, x: &mut [f64]) {
        let (mut one, mut two) = (0.0, 0.0);
        for (row, x) in self.rows.iter().zip(x.iter_mut()) {
            let value = *x - one;
            one = two + row.next * value;
            two = row.after * value;
            *x = value;
        }
        let (mut below, mut below2) = (0.0, 0.0);
        for (row, x) in self.rows.iter().zip(x.iter_mut()).rev() {
            let value = *x * row.on - row.next * below - row.after * below2;
            (below2, below) = (below, value);
            *x = value;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Checked by multiplying back: the definition of a solution.
    #[test]
    fn a_solution_multiplies_back_to_the_right_side() {
        let rows: Vec<Row> = (0..9)
            .map(|i| {
                let i = f64::from(i);
                Row { on: 6.0 + i, next: -2.0 + 0.3 * i, after: 1.0 - 0.2 * i }
            })
            .collect();
        let right: Vec<f64> = (0..9).map(|i| f64::from(i * i - 7)).collect();
        let mut matrix = Banded::default();
        matrix.reset(9);
        matrix.rows_mut().copy_from_slice(&rows);
        matrix.factor();
        let mut x = right.clone();
        matrix.solve(&mut x);
        for i in 0..9 {
            let mut sum = rows[i].on * x[i];
            if i + 1 < 9 {
                sum += rows[i].next * x[i + 1];
            }
            if i + 2 < 9 {
                sum += rows[i].after * x[i + 2];
            }
            if i >= 1 {
                sum += rows[i - 1].next * x[i - 1];
            }
            if i >= 2 {
                sum += rows[i - 2].after * x[i - 2];
            }
            assert!((sum - right[i]).abs() < 1e-11, "row {i}: {sum} against {}", right[i]);
        }
    }
}
