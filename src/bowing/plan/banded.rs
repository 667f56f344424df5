//! Symmetric positive definite matrices with two bands on either side of the diagonal, factored as
//! `L D L^T` and solved row by row, so that other work on a row can be done in the same sweep.

/// The row `i` of the upper half: entries `(i, i)`, `(i, i + 1)`, `(i, i + 2)`. Factored, the
/// inverse of `D` and the two entries of the column `i` of `L`.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Row {
    pub on: f64,
    pub next: f64,
    pub after: f64,
}

/// Factors the rows from the first to the last: what the two rows above take away from this row
/// and the next.
#[derive(Debug, Default)]
pub(super) struct Factor {
    on: f64,
    next: f64,
    later: f64,
}

impl Factor {
    /// A pivot that is not positive, which only rounding can make, is replaced by a huge one: that
    /// unknown then keeps its place.
    pub fn row(&mut self, row: Row) -> Row {
        let pivot = row.on - self.on;
        let inverse = if pivot > 0.0 { 1.0 / pivot } else { 0.0 };
        let beside = row.next - self.next;
        let factored = Row { on: inverse, next: beside * inverse, after: row.after * inverse };
        self.on = self.later + factored.next * beside;
        self.next = factored.next * row.after;
        self.later = factored.after * row.after;
        factored
    }
}

/// Solves for the right side, from the first factored row to the last.
#[derive(Debug, Default)]
pub(super) struct Forward {
    one: f64,
    two: f64,
}

impl Forward {
    pub fn row(&mut self, row: &Row, right: f64) -> f64 {
        let value = right - self.one;
        self.one = self.two + row.next * value;
        self.two = row.after * value;
        value
    }
}

/// Solves for the unknowns, from the last factored row to the first.
#[derive(Debug, Default)]
pub(super) struct Backward {
    below: f64,
    below2: f64,
}

impl Backward {
    /// Takes what [`Forward::row`] gave for the row.
    pub fn row(&mut self, row: &Row, value: f64) -> f64 {
        let value = (value * row.on - row.after * self.below2) - row.next * self.below;
        (self.below2, self.below) = (self.below, value);
        value
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
        let (mut factor, mut forward, mut backward) =
            (Factor::default(), Forward::default(), Backward::default());
        let factored: Vec<Row> = rows.iter().map(|&row| factor.row(row)).collect();
        let mut x: Vec<f64> = factored.iter().zip(&right).map(|(row, &r)| forward.row(row, r)).collect();
        for (row, x) in factored.iter().zip(&mut x).rev() {
            *x = backward.row(row, *x);
        }
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
