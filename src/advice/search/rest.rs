//! All bowings that were not tried yet gone through, but for those that a bound shows to be no better.

use super::{
    ask::SearchError,
    bound::Bound,
    choice::{Choice, Choices},
    tried::{BETTER, Pool},
};

/// Passages of so many notes are gone through whole. Assumed.
const WHOLE: usize = 200;
/// That is given up when so many notes were planned, or so many more bowings tried. Assumed.
const MOST_PLANNED: usize = 400_000;
const MOST_MORE: usize = 1_000;

/// Tries all other bowings that may be better than the best, where they are not too many.
pub(super) fn go_through(pool: &mut Pool) -> Result<(), SearchError> {
    let Some(bound) = Bound::new(pool.field) else { return Ok(()) };
    if pool.field.present().len() > WHOLE {
        return Ok(());
    }
    let best = pool.tried.iter().map(|tried| tried.weight).fold(f64::INFINITY, f64::min);
    let most = pool.looked_at() + MOST_MORE;
    Walk { pool, bound, best, planned: 0, most }.from(&mut Vec::new())
}

/// A walk through all bowings that may be better.
struct Walk<'a, 'p> {
    pool: &'a mut Pool<'p>,
    bound: Bound<'p>,
    best: f64,
    planned: usize,
    most: usize,
}

impl Walk<'_, '_> {
    /// All that start like this, the most promising first.
    fn from(&mut self, first: &mut Choices) -> Result<(), SearchError> {
        self.pool.go_on()?;
        let (k, field) = (first.len(), self.pool.field);
        if k == field.present().len() {
            if let Some(index) = self.pool.try_out(first.clone())? {
                self.best = self.best.min(self.pool.tried[index].weight);
            }
            return Ok(());
        }
        let before = first.last().map(|choice| choice.direction);
        let mut next: Vec<(f64, Choice)> = Vec::new();
        for choice in field.choices(k, before) {
            first.push(choice);
            next.push((self.bound.at_least(first), choice));
            first.pop();
            self.planned += first.len();
        }
        next.sort_by(|a, b| a.0.total_cmp(&b.0));
        for (least, choice) in next {
            let too_many = self.planned > MOST_PLANNED || self.pool.looked_at() > self.most;
            if too_many || least >= self.best - BETTER {
                break;
            }
            first.push(choice);
            let went = self.from(first);
            first.pop();
            went?;
        }
        Ok(())
    }
}
