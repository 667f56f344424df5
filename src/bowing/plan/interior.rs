//! A primal-dual interior-point method with predictor and corrector (Mehrotra, "On the
//! implementation of a primal-dual interior point method", SIAM J. Optim. 2, 1992), on a chain.
//!
//! Unknowns are the places `x` and, apart from them, the differences `y` of neighbouring places, so
//! that both can start strictly inside their limits; what they are apart, `y - A x`, shrinks to zero
//! with the steps. Each limit has a room `s` and a push (multiplier) `z`, followed along `s z = tau`
//! for `tau` to zero. The Newton matrix, reduced to `x`, has two bands on either side.
//!
//! A step is four sweeps over the chain, two forward and two backward: a long chain does not fit
//! in the cache, so that each sweep does all it can.

use super::banded::{Backward, Factor, Forward, Row};
use super::chain::{Chain, Link};
use super::walls::{Aim, Pair, Walls, greater};

/// More Newton steps than any chain needs; the method takes 8 to 30. Assumed.
const MOST_STEPS: usize = 200;
/// After so many steps, which one chain in many thousands needs, the search aims for less and makes
/// up for no bend: that goes slowly, but not round in circles. Assumed.
const BOLD_STEPS: usize = 40;
/// Part of the way to the nearest limit that a step may go. Trades speed against keeping clear.
const STEP_PART: f64 = 0.995;
/// The first point keeps this part of the width clear of each limit, and this part of what is left
/// by the place before where there is a choice. Assumed, for few steps.
const CLEAR_PART: f64 = 0.01;
const CHOICE_PART: f64 = 0.2;
/// Product of room and push at the first point. Assumed, for few steps.
const FIRST_TAU: f64 = 0.3;
/// The search ends when the cost is certain to this part of itself, plus this much a place.
const GAP_PART: f64 = 1e-10;
const GAP_A_PLACE: f64 = 1e-12;
/// Where the limits hide less than this part of what would be enough, and a step no longer takes half of
/// what it should off the rest, only rounding is left of the gap. Assumed.
const NOTHING_PART: f64 = 0.01;
/// Below this product of room and push the same is true in any case.
const LEAST_TAU: f64 = 1e-18;
/// The differences agree with the places to this, in hairs.
const APART: f64 = 1e-13;
/// The curvature that holds a fixed place where it is.
const HOLD: f64 = 1e30;

/// How a search ended.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Ending {
    pub iterations: usize,
    /// Bound on the cost above the best: the cost less the best lower bound met on the way.
    pub gap: f64,
}

/// The state of a search; kept from one chain to the next so as not to allocate again.
#[derive(Debug, Default)]
pub(super) struct Interior {
    x: Vec<f64>,
    x_walls: Vec<Walls>,
    y_walls: Vec<Walls>,
    /// `y - A x`.
    apart: Vec<f64>,
    /// Slope of the cost by place, the limits left out, with what the whole step will add to bring `y`
    /// and `A x` together.
    slope: Vec<f64>,
    /// The factored Newton matrix.
    rows: Vec<Row>,
    /// The step straight to the limits, and the step taken.
    straight: Vec<f64>,
    step: Vec<f64>,
}

/// A row of the Newton system as it is put together.
#[derive(Clone, Copy, Debug, Default)]
struct Line {
    row: Row,
    slope: f64,
    /// What the pushes of the limits add to the slope, less what brings `y` and `A x` together.
    pushed: f64,
    width: f64,
}

/// What one sweep over the chain finds.
#[derive(Clone, Copy, Debug, Default)]
struct State {
    value: f64,
    /// Sum of `s z`.
    complement: f64,
    /// Slope that is left, times the width of the corridor. Convexity: the cost above the best is at most
    /// this and the complement together.
    unsolved: f64,
    apart: f64,
}

/// A step found and not yet taken.
#[derive(Clone, Copy, Debug, Default)]
struct Move {
    aim: Aim,
    part: f64,
}

impl Interior {
    /// The places found.
    pub fn places(&self) -> &[f64] {
        &self.x
    }

    /// Finds the best places.
    pub fn solve(&mut self, chain: &Chain) -> Ending {
        self.begin(chain);
        let count = chain.places.len() as f64;
        let mut bound = f64::NEG_INFINITY;
        let mut ending = Ending { iterations: 0, gap: f64::INFINITY };
        let mut step = Move::default();
        let mut unsolved = f64::INFINITY;
        for iterations in 0..MOST_STEPS {
            let state = self.advance(chain, step);
            if state.apart <= APART {
                bound = greater(state.value - state.complement - state.unsolved, bound);
            }
            ending = Ending { iterations, gap: (state.value - bound).max(0.0) };
            let enough = GAP_PART * state.value.max(0.0) + GAP_A_PLACE * count;
            let only_rounding = bound.is_finite()
                && state.complement <= NOTHING_PART * enough
                && state.unsolved > (1.0 - 0.5 * step.part) * unsolved;
            let mean = state.complement / self.limits();
            if ending.gap <= enough || only_rounding || mean <= LEAST_TAU {
                break;
            }
            unsolved = state.unsolved;
            let bold = self.predict(mean);
            let aim = if iterations < BOLD_STEPS { bold } else { Aim { tau: 0.3 * mean, bend: 0.0 } };
            step = self.correct(aim, mean);
        }
        ending
    }

    /// A first point inside all limits: a walk along the middle of the corridor, as far as the links let
    /// it. The corridor leads on from every place, so that the walk finds a way within both.
    fn begin(&mut self, chain: &Chain) {
        let count = chain.places.len();
        for walls in [&mut self.x_walls, &mut self.y_walls] {
            walls.clear();
            walls.reserve(count);
        }
        for list in [&mut self.x, &mut self.apart] {
            list.clear();
            list.reserve(count);
        }
        let mut reach = (f64::NEG_INFINITY, f64::INFINITY);
        for (i, place) in chain.places.iter().enumerate() {
            let (lo, hi) = (place.lo.max(reach.0), place.hi.min(reach.1));
            let walk = clear(0.5 * (place.lo + place.hi), (lo, hi), CHOICE_PART);
            let x = clear(walk, (place.lo, place.hi), CLEAR_PART);
            let limits =
                if place.is_fixed() { (f64::NEG_INFINITY, f64::INFINITY) } else { (place.lo, place.hi) };
            self.x.push(x);
            self.x_walls.push(Walls::new(x, limits, FIRST_TAU, 0.0));
            if let Some(link) = chain.links.get(i) {
                reach = (x + link.lo, x + link.hi);
            }
        }
        for (link, x) in chain.links.iter().zip(self.x.windows(2)) {
            let between = x[1] - x[0];
            let limits = (link.lo, link.hi);
            let y = if link.lo.is_finite() { clear(between, limits, CLEAR_PART) } else { between };
            // The limits push back against the slope of the link, so that little is left for the places to
            // bear: fewer steps than with equal pushes.
            let up = if link.lo.is_finite() { link.slope_alone(y) } else { 0.0 };
            self.y_walls.push(Walls::new(y, limits, FIRST_TAU, up));
            self.apart.push(y - between);
        }
        self.rows.resize(count, Row::default());
        for list in [&mut self.slope, &mut self.straight, &mut self.step] {
            list.clear();
            list.resize(count, 0.0);
        }
    }

    /// Takes a step; writes the Newton system at the point it leads to, factors it, and starts to solve
    /// it for the step straight to the limits.
    fn advance(&mut self, chain: &Chain, Move { aim, part }: Move) -> State {
        let count = chain.places.len();
        let (places, links) = (&chain.places[..count], &chain.links[..count - 1]);
        let (x, x_walls) = (&mut self.x[..count], &mut self.x_walls[..count]);
        let (y_walls, aparts) = (&mut self.y_walls[..count - 1], &mut self.apart[..count - 1]);
        let (straight, step) = (&mut self.straight[..count], &self.step[..count]);
        let (rows, slopes) = (&mut self.rows[..count], &mut self.slope[..count]);
        let mut state = State { value: chain.constant, ..State::default() };
        let (mut complement, mut unsolved) = (0.0, 0.0);
        let (mut factor, mut forward) = (Factor::default(), Forward::default());
        let mut finish = |i: usize, line: &Line, straight: &mut f64| {
            unsolved += (line.slope + line.pushed).abs() * line.width;
            rows[i] = factor.row(line.row);
            slopes[i] = line.slope;
            *straight = forward.row(&rows[i], -line.slope);
        };
        let mut at_place = |i: usize, straight: f64, state: &mut State| {
            let (place, walls) = (&places[i], &mut x_walls[i]);
            walls.advance(step[i], straight, aim, part);
            x[i] += part * step[i];
            complement += walls.complement();
            state.value += (place.quadratic * x[i] + place.linear) * x[i];
            let slope = 2.0 * place.quadratic * x[i] + place.linear;
            let hold = if place.is_fixed() { HOLD } else { 0.0 };
            let on = 2.0 * place.quadratic + walls.curvature() + hold;
            let row = Row { on, ..Row::default() };
            (x[i], Line { row, slope, pushed: walls.slope(), width: place.hi - place.lo })
        };
        let mut complement_y = 0.0;
        let (mut above, mut straight_here) = (Line::default(), straight[0]);
        let (mut x_here, mut here) = at_place(0, straight_here, &mut state);
        // Slope and ratio of the link before.
        let (mut slope_before, mut ratio_before) = (0.0, 0.0);
        for i in 0..links.len() {
            let straight_next = straight[i + 1];
            let (x_next, mut next) = at_place(i + 1, straight_next, &mut state);
            let (link, walls) = (&links[i], &mut y_walls[i]);
            let apart = aparts[i];
            walls.advance(step[i + 1] - step[i] - apart, straight_next - straight_here - apart, aim, part);
            let apart = apart * (1.0 - part);
            aparts[i] = apart;
            state.apart = greater(state.apart, apart.abs());
            complement_y += walls.complement();
            // What is quadratic is taken at the places themselves, the rest at `y`.
            let ratio = link.slope * (x_next - x_here) + link.shift;
            let mut slope = link.slope * (2.0 * link.quadratic * ratio + link.linear);
            let square = link.slope * link.slope;
            state.value += (link.quadratic * ratio + link.linear) * ratio;
            let mut bent = walls.curvature();
            if link.speed > 0.0 {
                let inverse = 1.0 / (ratio + link.slope * apart);
                let inverse2 = inverse * inverse;
                slope += link.slope * link.speed * (1.0 - inverse2);
                bent += 2.0 * link.speed * square * (inverse2 * inverse);
                state.value += link.speed * (ratio + inverse - 2.0);
            }
            let off_goal = 0.5 * (x_here + x_next) - link.goal;
            let to_goal = link.middle * off_goal;
            state.value += to_goal * off_goal;
            let (curvature, half) = (2.0 * link.quadratic * square + bent, 0.5 * link.middle);
            here.row.on += curvature + half;
            here.row.next += half - curvature;
            next.row.on += curvature + half;
            // The Newton step will close the gap between the two; the slope itself knows nothing of it.
            let closing = bent * apart;
            let slope = slope - closing;
            here.slope += to_goal - slope;
            next.slope += to_goal + slope;
            let pushed = walls.slope() + closing;
            here.pushed -= pushed;
            next.pushed += pushed;
            let bump = ratio_before - ratio;
            let along = [-slope_before, slope_before + link.slope, -link.slope];
            state.value += add_square([&mut above, &mut here, &mut next], link.even, bump, along);
            if i > 0 {
                finish(i - 1, &above, &mut straight[i - 1]);
            }
            (above, here) = (here, next);
            (x_here, straight_here) = (x_next, straight_next);
            (slope_before, ratio_before) = (link.slope, ratio);
        }
        if count > 1 {
            finish(count - 2, &above, &mut straight[count - 2]);
        }
        finish(count - 1, &here, &mut straight[count - 1]);
        State { complement: complement + complement_y, unsolved, ..state }
    }

    /// How many limits there are.
    fn limits(&self) -> f64 {
        (2 * (self.x_walls.len() + self.y_walls.len())) as f64
    }

    /// Follows the step straight to the limits; returns what to aim for instead.
    fn predict(&mut self, mean: f64) -> Aim {
        let last = self.x.len() - 1;
        let (mut rate, mut bends) = ([1.0; 2], [0.0; 2]);
        let mut follow = |walls: &Walls, step: f64| {
            let bend = walls.predict(step, &mut rate);
            bends = [bends[0] + bend[0], bends[1] + bend[1]];
        };
        let mut backward = Backward::default();
        let mut next = 0.0;
        for i in (0..=last).rev() {
            let here = backward.row(&self.rows[i], self.straight[i]);
            self.straight[i] = here;
            follow(&self.x_walls[i], here);
            if i < last {
                follow(&self.y_walls[i], next - here - self.apart[i]);
            }
            next = here;
        }
        let part = 1.0 / greater(rate[0], rate[1]);
        // To first order the step takes `s z` to zero, so what is left is what was not gone and
        // what bends.
        let after = (1.0 - part) * mean + part * part * (bends[0] + bends[1]) / self.limits();
        // A bend predicted far beyond the limits says little; counted in full it can make the search
        // go round in circles. The root of the part: assumed, for few steps.
        Aim { tau: mean * (after / mean).clamp(0.0, 1.0).powi(3), bend: part.sqrt() }
    }

    /// The step toward the aim, as far as the limits let it.
    fn correct(&mut self, aim: Aim, mean: f64) -> Move {
        let last = self.x.len() - 1;
        let mut forward = Forward::default();
        let mut from_before = 0.0;
        for i in 0..=last {
            let here = self.straight[i];
            let mut right = from_before - self.slope[i] - self.x_walls[i].aim_slope(here, aim);
            if i < last {
                let by_link = self.y_walls[i].aim_slope(self.straight[i + 1] - here - self.apart[i], aim);
                right += by_link;
                from_before = -by_link;
            }
            self.step[i] = forward.row(&self.rows[i], right);
        }
        let step_part = 1.0 - (1.0 - STEP_PART).min(mean.max(5e-4));
        let mut rate: Pair = [step_part; 2];
        let mut backward = Backward::default();
        let (mut next, mut straight_next) = (0.0, 0.0);
        for i in (0..=last).rev() {
            let (here, straight) = (backward.row(&self.rows[i], self.step[i]), self.straight[i]);
            self.step[i] = here;
            self.x_walls[i].limit(here, straight, aim, &mut rate);
            if i < last {
                let apart = self.apart[i];
                self.y_walls[i].limit(next - here - apart, straight_next - straight - apart, aim, &mut rate);
            }
            (next, straight_next) = (here, straight);
        }
        Move { aim, part: step_part / greater(rate[0], rate[1]) }
    }
}

/// Adds `weight value^2` to three neighbouring lines, `along` being the slope of `value` by place; returns
/// what it costs.
fn add_square([first, second, third]: [&mut Line; 3], weight: f64, value: f64, along: [f64; 3]) -> f64 {
    let [a, b, c] = along;
    let double = 2.0 * weight;
    let (by_a, by_b, pull) = (double * a, double * b, double * value);
    first.row.on += by_a * a;
    first.row.next += by_a * b;
    first.row.after += by_a * c;
    second.row.on += by_b * b;
    second.row.next += by_b * c;
    third.row.on += double * c * c;
    first.slope += pull * a;
    second.slope += pull * b;
    third.slope += pull * c;
    weight * value * value
}

/// The value, clear of both limits by this part of the width.
fn clear(value: f64, (lo, hi): (f64, f64), part: f64) -> f64 {
    let margin = part * (hi - lo);
    value.min(hi - margin).max(lo + margin)
}

impl Link {
    /// Slope of what this link alone costs.
    fn slope_alone(&self, y: f64) -> f64 {
        let ratio = self.slope * y + self.shift;
        self.slope * (self.speed * (1.0 - 1.0 / (ratio * ratio)) + 2.0 * self.quadratic * ratio + self.linear)
    }
}
