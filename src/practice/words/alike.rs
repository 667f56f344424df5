//! What is bowed as it was before.

use std::ops::Range;

use super::{ALIKE, story::Story};

/// A phrase is looked for among so many bars before. Assumed.
const REMEMBERED_BARS: usize = 32;

/// A bar with so many steps is told by its first half, where the second is the same. Assumed.
const STEPS: usize = 3;

/// Bars that are bowed like bars before; or the second half of a bar, where both are the same bar.
pub(super) struct Again {
    pub strokes: Range<usize>,
    /// The bars, as indices.
    pub bars: Range<usize>,
    /// The bars before.
    pub like: Range<usize>,
    /// Strokes, each with the first of those that they are bowed like.
    pub pairs: Vec<(Range<usize>, usize)>,
}

impl Story<'_> {
    /// The bars of a phrase that are bowed like others before them, in order.
    pub fn again(&self, strokes: &Range<usize>) -> Vec<Again> {
        let bars = self.bars_in(strokes);
        let whole = (1..=REMEMBERED_BARS).find_map(|back| {
            let again = self.like(&bars, back)?;
            (bars.len() > 1 && again.like.end <= bars.first()?.0).then_some(again)
        });
        if let Some(again) = whole {
            return vec![again];
        }
        let mut found = Vec::new();
        let mut next = 1;
        while next < bars.len() {
            // One bar again and again, or two in turn.
            let unit = |size: usize| {
                let times = (next..bars.len()).step_by(size).enumerate().map_while(|(times, at)| {
                    let again = self.like(bars.get(at..at + size)?, size * (times + 1))?;
                    (again.pairs[0].1 >= strokes.start).then_some(again)
                });
                times.reduce(|mut all, again| {
                    (all.strokes.end, all.bars.end) = (again.strokes.end, again.bars.end);
                    all.pairs.extend(again.pairs);
                    all
                })
            };
            let again = unit(1).or_else(|| (next > 1).then(|| unit(2)).flatten());
            let halves = || self.half(&bars[next]);
            let again = again.or_else(halves);
            next += again.as_ref().map_or(1, |again| again.bars.len());
            found.extend(again);
        }
        found
    }

    /// The second half of a bar, where it is bowed like the first and that is not told in a few steps.
    fn half(&self, (bar, strokes): &(usize, Range<usize>)) -> Option<Again> {
        let half = strokes.len() / 2;
        let (from, length) = (strokes.start, self.lesson.score.bars.get(*bar)?.length);
        let onset = |stroke: usize| self.onset(self.evidence.main_note(stroke));
        let second = from + half..strokes.end;
        let is_again = half >= 2
            && strokes.len() == 2 * half
            && second.clone().all(|stroke| {
                let first = stroke - half;
                self.are_alike(stroke, first)
                    && onset(stroke) + onset(stroke) == onset(first) + onset(first) + length
            });
        let bars = *bar..bar + 1;
        (is_again && self.steps(strokes.clone()).len() >= STEPS).then(|| Again {
            like: bars.clone(),
            bars,
            pairs: vec![(second.clone(), from)],
            strokes: second,
        })
    }

    /// The bars of a phrase with their strokes.
    fn bars_in(&self, strokes: &Range<usize>) -> Vec<(usize, Range<usize>)> {
        let mut bars: Vec<(usize, Range<usize>)> = Vec::new();
        for stroke in strokes.clone() {
            let bar = self.bar_of(stroke);
            match bars.last_mut() {
                Some((last, range)) if *last == bar => range.end = stroke + 1,
                _ => bars.push((bar, stroke..stroke + 1)),
            }
        }
        bars
    }

    /// Bars that are bowed like those so many bars before.
    fn like(&self, bars: &[(usize, Range<usize>)], back: usize) -> Option<Again> {
        let ((first, from), (last, to)) = (bars.first()?, bars.last()?);
        // Without a gap, or it would be said of bars in which nothing is bowed.
        let dense = last - first + 1 == bars.len();
        let like = first.checked_sub(back)?..(last + 1).checked_sub(back)?;
        if !dense || like.start < self.bars.start {
            return None;
        }
        // The strokes before that begin in the bar so many before.
        let mut as_from = from.start;
        while as_from > 0 && self.bar_of(as_from - 1) >= like.start {
            as_from -= 1;
        }
        let strokes = from.start..to.end;
        let alike = as_from < from.start
            && self.bar_of(as_from) == like.start
            && strokes.clone().zip(as_from..).all(|(one, other)| {
                self.bar_of(one) == self.bar_of(other) + back && self.are_alike(one, other)
            });
        // And no stroke more than those.
        let after = as_from + strokes.len();
        let ends = alike && (after == strokes.start || self.bar_of(after) >= like.end);
        ends.then(|| Again { bars: *first..last + 1, like, pairs: vec![(strokes.clone(), as_from)], strokes })
    }

    fn are_alike(&self, one: usize, other: usize) -> bool {
        let near = |a: f64, b: f64| (a - b).abs() <= ALIKE;
        let ((a, b), (c, d)) = (self.ends(one), self.ends(other));
        self.is_planned(one)
            && self.is_planned(other)
            && self.evidence.way(one) == self.evidence.way(other)
            && self.evidence.rhythm(one) == self.evidence.rhythm(other)
            && near(a, c)
            && near(b, d)
    }
}
