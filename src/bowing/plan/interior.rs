//! A primal-dual interior-point method with predictor and corrector (Mehrotra, "On the
//! implementation of a primal-dual interior point method", SIAM J. Optim. 2, 1992), on a chain.
//!
//! Unknowns are the places `x` and, apart from them, the differences `y` of neighbouring places, so
//! that both can start strictly inside their limits; what they are apart, `y - A x`, shrinks to zero
//! with the steps. Each
//! limit has a slack `s` and a multiplier `z`, followed along `s z = tau` for `tau` to zero. The
//! Newton matrix, reduced to `x`, has two bands on either side.

use super::banded::{Banded, Row};
use super::chain::Chain;

/// More Newton steps than any chain needs; the method takes 10 to 30. Assumed.
const MOST_STEPS: usize = 200;
/// After so many steps, which one chain in many thousands needs, the search aims for less and makes
/// up for no bend: that goes slowly, but not round in circles. Assumed.
const BOLD_STEPS: usize = 40;
/// Part of the way to the nearest limit that a step may go. Trades speed against keeping clear.
const STEP_PART: f64 = 0.995;
/// A limit that is not there lies this far away, in hairs.
const FAR: f64 = 1e30;
/// The first point keeps this part of the width clear of each limit.
const CLEAR_PART: f64 = 0.1;
/// Product of slack and multiplier at the first point.
const FIRST_TAU: f64 = 0.1;
/// The search ends when the cost is certain to this part of itself, plus this much a place.
const GAP_PART: f64 = 1e-10;
const GAP_A_PLACE: f64 = 1e-12;
/// Below this product of slack and multiplier only rounding is left of the gap.
const LEAST_TAU: f64 = 1e-18;
/// The differences agree with the places to this, in hairs.
const APART: f64 = 1e-13;

/// How a search ended.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Outcome {
    pub iterations: usize,
    /// Bound on the cost above the best: the cost less the best lower bound met on the way.
    pub gap: f64,
}

/// The two limits of one unknown.
#[derive(Clone, Copy, Debug)]
struct Walls {
    /// Room below and above.
    below: f64,
    above: f64,
    /// Multipliers.
    push_up: f64,
    push_down: f64,
    /// 1 / room.
    inv_below: f64,
    inv_above: f64,
    /// Products of the predicted changes of room and multiplier.
    bend_below: f64,
    bend_above: f64,
}

impl Walls {
    fn new(value: f64, lo: f64, hi: f64) -> Self {
        let below = (value - lo).min(FAR);
        let above = (hi - value).min(FAR);
        Self {
            below,
            above,
            push_up: 0.0,
            push_down: 0.0,
            inv_below: 0.0,
            inv_above: 0.0,
            bend_below: 0.0,
            bend_above: 0.0,
        }
    }

    /// Readies the inverses; returns what the limits add to the curvature.
    fn curvature(&mut self) -> f64 {
        self.inv_below = 1.0 / self.below;
        self.inv_above = 1.0 / self.above;
        self.push_up * self.inv_below + self.push_down * self.inv_above
    }

    /// What the limits add to the slope.
    fn slope(&self, aim: Aim) -> f64 {
        (aim.tau - aim.bend * self.bend_above) * self.inv_above
            - (aim.tau - aim.bend * self.bend_below) * self.inv_below
    }

    fn complement(&self) -> f64 {
        self.below * self.push_up + self.above * self.push_down
    }

    /// Changes of the multipliers that go with the change `step` of the unknown.
    fn pushes(&self, step: f64, aim: Aim) -> (f64, f64) {
        let up = (aim.tau - aim.bend * self.bend_below) * self.inv_below;
        let down = (aim.tau - aim.bend * self.bend_above) * self.inv_above;
        (
            up - self.push_up * (1.0 + step * self.inv_below),
            down - self.push_down * (1.0 - step * self.inv_above),
        )
    }

    /// Shortens `part` so that rooms and multipliers stay positive.
    fn limit(&self, step: f64, (up, down): (f64, f64), part: &mut f64) {
        for (value, change) in
            [(self.below, step), (self.above, -step), (self.push_up, up), (self.push_down, down)]
        {
            if value + *part * change < 0.0 {
                *part = -value / change;
            }
        }
    }

    fn advance(&mut self, step: f64, (up, down): (f64, f64), part: f64) {
        self.below += part * step;
        self.above -= part * step;
        self.push_up += part * up;
        self.push_down += part * down;
    }
}

/// What a Newton step aims for.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Aim {
    /// Product of slack and multiplier.
    tau: f64,
    /// Part of the predicted bend to make up for.
    bend: f64,
}

/// The state of a search; kept from one chain to the next so as not to allocate again.
#[derive(Debug, Default)]
pub(super) struct Interior {
    x: Vec<f64>,
    x_walls: Vec<Walls>,
    y_walls: Vec<Walls>,
    /// Slope of the cost by place, the limits left out, with what the whole step will add to bring `y`
    /// and `A x` together.
    slope: Vec<f64>,
    /// The same with the limits, at their multipliers.
    residual: Vec<f64>,
    /// `y - A x`.
    apart: Vec<f64>,
    x_step: Vec<f64>,
    matrix: Banded,
    fixed: Vec<usize>,
}

/// What one pass over the chain finds.
#[derive(Clone, Copy, Debug, Default)]
struct State {
    value: f64,
    gap: f64,
    apart: f64,
    /// Mean of `s z`.
    mean: f64,
}

/// Straight to the limits.
const STRAIGHT: Aim = Aim { tau: 0.0, bend: 0.0 };

impl Interior {
    /// The places found.
    pub fn places(&self) -> &[f64] {
        &self.x
    }

    /// Finds the best places.
    pub fn solve(&mut self, chain: &Chain) -> Outcome {
        self.begin(chain);
        let count = chain.places.len() as f64;
        let mut bound = f64::NEG_INFINITY;
        let mut outcome = Outcome { iterations: 0, gap: f64::INFINITY };
        for iterations in 0..MOST_STEPS {
            let state = self.assemble(chain);
            if state.apart <= APART {
                bound = bound.max(state.value - state.gap);
            }
            outcome = Outcome { iterations, gap: (state.value - bound).max(0.0) };
            let enough = GAP_PART * state.value.max(0.0) + GAP_A_PLACE * count;
            if outcome.gap <= enough || state.mean <= LEAST_TAU {
                break;
            }
            self.matrix.factor();
            self.find_step(STRAIGHT);
            let bold = self.predict(state.mean);
            let aim = if iterations < BOLD_STEPS { bold } else { Aim { tau: 0.3 * state.mean, bend: 0.0 } };
            self.find_step(aim);
            self.advance(aim, state.mean);
        }
        outcome
    }

    /// A first point strictly inside all limits, near what the pieces want.
    fn begin(&mut self, chain: &Chain) {
        let clear = |value: f64, lo: f64, hi: f64| {
            let margin = CLEAR_PART * (hi - lo);
            value.min(hi - margin).max(lo + margin)
        };
        self.x.clear();
        self.x_walls.clear();
        self.fixed.clear();
        for (i, place) in chain.places.iter().enumerate() {
            let (value, walls) = if place.is_fixed() {
                self.fixed.push(i);
                (place.lo, Walls::new(place.lo, f64::NEG_INFINITY, f64::INFINITY))
            } else {
                let value = clear(place.guess, place.lo, place.hi);
                (value, Walls::new(value, place.lo, place.hi))
            };
            self.x.push(value);
            self.x_walls.push(walls);
        }
        self.y_walls.clear();
        self.apart.clear();
        for (link, x) in chain.links.iter().zip(self.x.windows(2)) {
            let between = x[1] - x[0];
            let value = if link.lo.is_finite() { clear(between, link.lo, link.hi) } else { between };
            self.y_walls.push(Walls::new(value, link.lo, link.hi));
            self.apart.push(value - between);
        }
        for walls in self.x_walls.iter_mut().chain(&mut self.y_walls) {
            walls.push_up = FIRST_TAU / walls.below;
            walls.push_down = FIRST_TAU / walls.above;
        }
        self.x_step.clear();
        self.x_step.resize(chain.places.len(), 0.0);
    }

    /// Writes the Newton matrix and the slopes at the present point.
    fn assemble(&mut self, chain: &Chain) -> State {
        let count = chain.places.len();
        self.matrix.reset(count);
        self.slope.clear();
        self.slope.resize(count, 0.0);
        self.residual.clear();
        self.residual.resize(count, 0.0);
        let rows = self.matrix.rows_mut();
        let mut state = State { value: chain.constant, ..State::default() };
        let mut complement = 0.0;
        for (i, (place, walls)) in chain.places.iter().zip(&mut self.x_walls).enumerate() {
            let x = self.x[i];
            rows[i].on = 2.0 * place.quadratic + walls.curvature();
            self.slope[i] = 2.0 * place.quadratic * x + place.linear;
            self.residual[i] = walls.push_down - walls.push_up;
            state.value += (place.quadratic * x + place.linear) * x;
            complement += walls.complement();
        }
        // Evenness weight, slope and ratio of the link before.
        let (mut even, mut slope_before, mut ratio_before) = (0.0, 0.0, 0.0);
        for (i, (link, walls)) in chain.links.iter().zip(&mut self.y_walls).enumerate() {
            let ends = (self.x[i], self.x[i + 1]);
            let apart = self.apart[i];
            // What is quadratic is taken at the places themselves, the rest at `y`.
            let ratio = link.slope * (ends.1 - ends.0) + link.shift;
            let mut slope = link.slope * (2.0 * link.quadratic * ratio + link.linear);
            let mut curvature = 2.0 * link.quadratic * link.slope * link.slope;
            state.value += (link.quadratic * ratio + link.linear) * ratio;
            let mut bent = walls.curvature();
            if link.speed > 0.0 {
                let inverse = 1.0 / (ratio + link.slope * apart);
                slope += link.slope * link.speed * (1.0 - inverse * inverse);
                bent += 2.0 * link.speed * link.slope * link.slope * inverse * inverse * inverse;
                state.value += link.speed * (ratio + inverse - 2.0);
            }
            curvature += bent;
            // The Newton step will close the gap between the two; the slope itself knows nothing of it.
            let closing = bent * apart;
            slope -= closing;
            let off_goal = 0.5 * (ends.0 + ends.1) - link.goal;
            let to_goal = link.middle * off_goal;
            state.value += to_goal * off_goal;
            rows[i].on += curvature + 0.5 * link.middle;
            rows[i].next += 0.5 * link.middle - curvature;
            rows[i + 1].on += curvature + 0.5 * link.middle;
            self.slope[i] += to_goal - slope;
            self.slope[i + 1] += to_goal + slope;
            let push = walls.push_down - walls.push_up + closing;
            self.residual[i] -= push;
            self.residual[i + 1] += push;
            if even > 0.0 {
                let bump = ratio_before - ratio;
                let (a, b, c) = (-slope_before, slope_before + link.slope, -link.slope);
                let double = 2.0 * even;
                rows[i - 1].on += double * a * a;
                rows[i - 1].next += double * a * b;
                rows[i - 1].after += double * a * c;
                rows[i].on += double * b * b;
                rows[i].next += double * b * c;
                rows[i + 1].on += double * c * c;
                self.slope[i - 1] += double * bump * a;
                self.slope[i] += double * bump * b;
                self.slope[i + 1] += double * bump * c;
                state.value += even * bump * bump;
            }
            (even, slope_before, ratio_before) = (link.even, link.slope, ratio);
            complement += walls.complement();
            state.apart = state.apart.max(apart.abs());
        }
        for &i in &self.fixed {
            rows[i] = Row { on: 1.0, next: 0.0, after: 0.0 };
            if i >= 1 {
                rows[i - 1].next = 0.0;
            }
            if i >= 2 {
                rows[i - 2].after = 0.0;
            }
        }
        // Convexity: the cost above the best is at most the slope times the way that is left.
        let unsolved: f64 = (chain.places.iter().zip(&self.slope).zip(&self.residual))
            .map(|((place, slope), residual)| (slope + residual).abs() * (place.hi - place.lo))
            .sum();
        state.gap = complement + unsolved;
        state.mean = complement / (2 * (self.x_walls.len() + self.y_walls.len())) as f64;
        state
    }

    /// The Newton step toward the aim.
    fn find_step(&mut self, aim: Aim) {
        for (step, slope) in self.x_step.iter_mut().zip(&self.slope) {
            *step = -slope;
        }
        if aim != STRAIGHT {
            for (step, walls) in self.x_step.iter_mut().zip(&self.x_walls) {
                *step -= walls.slope(aim);
            }
            for (i, walls) in self.y_walls.iter().enumerate() {
                let slope = walls.slope(aim);
                self.x_step[i] += slope;
                self.x_step[i + 1] -= slope;
            }
        }
        for &i in &self.fixed {
            self.x_step[i] = 0.0;
        }
        self.matrix.solve(&mut self.x_step);
    }

    /// Calls `each` with the walls and the step of every unknown.
    fn for_each_wall(&mut self, mut each: impl FnMut(&mut Walls, f64)) {
        for (walls, &step) in self.x_walls.iter_mut().zip(&self.x_step) {
            each(walls, step);
        }
        let steps = self.x_step.windows(2).zip(&self.apart);
        for (walls, (ends, apart)) in self.y_walls.iter_mut().zip(steps) {
            each(walls, ends[1] - ends[0] - apart);
        }
    }

    /// Follows the step straight to the limits: notes how it bends, and returns what to aim for
    /// instead.
    fn predict(&mut self, mean: f64) -> Aim {
        let mut part = 1.0;
        let mut bends = 0.0;
        self.for_each_wall(|walls, step| {
            let pushes = walls.pushes(step, STRAIGHT);
            walls.limit(step, pushes, &mut part);
            walls.bend_below = step * pushes.0;
            walls.bend_above = -step * pushes.1;
            bends += walls.bend_below + walls.bend_above;
        });
        let count = (2 * (self.x_walls.len() + self.y_walls.len())) as f64;
        // To first order the step takes `s z` to zero, so what is left is what was not gone and
        // what bends.
        let after = (1.0 - part) * mean + part * part * bends / count;
        // A bend predicted far beyond the limits says little; counted in full it can make the search
        // go round in circles.
        Aim { tau: mean * (after / mean).clamp(0.0, 1.0).powi(3), bend: part }
    }

    /// Takes the step, as far as the limits let it.
    fn advance(&mut self, aim: Aim, mean: f64) {
        let step_part = 1.0 - (1.0 - STEP_PART).min(mean.max(5e-4));
        let mut longest = 1.0 / step_part;
        self.for_each_wall(|walls, step| walls.limit(step, walls.pushes(step, aim), &mut longest));
        let part = step_part * longest;
        self.for_each_wall(|walls, step| walls.advance(step, walls.pushes(step, aim), part));
        for (x, step) in self.x.iter_mut().zip(&self.x_step) {
            *x += part * step;
        }
        for apart in &mut self.apart {
            *apart *= 1.0 - part;
        }
    }
}
