//! The plan: the best way through a problem.
//!
//! Every stretch that can be played is reduced to a chain of unknown places and solved exactly, in
//! time proportional to its length, by an interior-point method on a banded matrix.

mod banded;
mod chain;
mod interior;
mod walls;

use serde::{Deserialize, Serialize};

use super::corridor::{Cause, Impossible, Stretch, corridor};
use super::problem::{PlanError, Problem, cost_between};
use chain::Chain;
use interior::{Ending, Interior};

/// The best way through a problem.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct Solution {
    /// Where each piece starts, mm. The impossible ones are drawn from the best place at their
    /// slowest (at their fastest toward a pin too far ahead) up to where the hair ends.
    pub start_mm: Vec<f64>,
    /// Where each piece ends, mm.
    pub end_mm: Vec<f64>,
    /// Where each piece may start, mm; of an impossible one, where it is drawn.
    pub corridor_start: Vec<(f64, f64)>,
    /// Where each piece may end, mm.
    pub corridor_finish: Vec<(f64, f64)>,
    /// Cost of the plan, summed over the stretches that can be played.
    pub cost: f64,
    /// The cost of the best plan lies at most this far below `cost`: what is left between the plan
    /// and its dual bound. About 1e-10 of the cost; more, up to 1e-4 of it, where rounding hides how
    /// much better than that the plan is. Weights, lengths or limits many powers of ten apart can
    /// leave still more.
    pub gap: f64,
    /// The spots that cannot be played as marked, in the order of the music.
    pub impossible: Vec<Impossible>,
    /// Newton steps, summed over the stretches.
    pub iterations: usize,
    /// The stretches that were planned, in order.
    pub stretches: Vec<Planned>,
}

/// A stretch that was planned on its own.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Planned {
    /// First piece.
    pub first: usize,
    /// One past the last piece.
    pub last: usize,
    /// Its part of the cost.
    pub cost: f64,
    /// Its part of the gap.
    pub gap: f64,
    /// Its Newton steps.
    pub iterations: usize,
}

impl Solution {
    /// For each piece whether there is no plan for it because it cannot be played as marked.
    pub fn unplanned(&self) -> Vec<bool> {
        let mut unplanned = vec![false; self.start_mm.len()];
        for spot in &self.impossible {
            unplanned[spot.piece..spot.resumes].fill(true);
        }
        unplanned
    }
}

/// Plans a problem.
///
/// Where the preferred places weigh nothing the best way may not be unique; one of the best is
/// given. The same problem always gives the same plan.
///
/// # Errors
/// A number that cannot be used; see [`Problem::check`]. What cannot be played is no error but
/// listed in [`Solution::impossible`].
pub fn solve(problem: &Problem) -> Result<Solution, PlanError> {
    solve_after(problem, None)
}

/// The same as [`solve`], faster where an earlier problem and its solution are known: stretches that are
/// the same in both are taken over.
///
/// # Errors
/// Those of [`solve`].
pub fn solve_after(problem: &Problem, known: Option<(&Problem, &Solution)>) -> Result<Solution, PlanError> {
    problem.check()?;
    let alike = |before: &Problem| problem.hair_mm == before.hair_mm && problem.weights == before.weights;
    let known = known.filter(|(before, _)| alike(before));
    let count = problem.pieces.len();
    let (stretches, impossible) = corridor(problem);
    let mut solution = Solution {
        start_mm: vec![0.0; count],
        end_mm: vec![0.0; count],
        corridor_start: vec![(0.0, 0.0); count],
        corridor_finish: vec![(0.0, 0.0); count],
        impossible,
        ..Solution::default()
    };
    let mut chain = Chain::default();
    let mut search = Interior::default();
    for stretch in &stretches {
        let (first, last) = (stretch.first, stretch.last);
        let covered = first..last;
        solution.corridor_start[covered.clone()].copy_from_slice(&stretch.corridor.start);
        solution.corridor_finish[covered.clone()].copy_from_slice(&stretch.corridor.finish);
        let same =
            known.and_then(|(before, plan)| Some((planned_before(problem, stretch, before, plan)?, plan)));
        let planned = if let Some((same, plan)) = same {
            let there = same.first..same.last;
            solution.start_mm[covered.clone()].copy_from_slice(&plan.start_mm[there.clone()]);
            solution.end_mm[covered].copy_from_slice(&plan.end_mm[there]);
            Planned { first, last, ..same }
        } else {
            chain.build(problem, stretch);
            let Ending { iterations, gap } = search.solve(&chain);
            for (k, (start, end)) in covered.zip(chain.ends_mm(search.places())) {
                solution.start_mm[k] = inside(start, solution.corridor_start[k]);
                solution.end_mm[k] = inside(end, solution.corridor_finish[k]);
            }
            let cost = cost_between(problem, first, last, &solution.start_mm, &solution.end_mm);
            Planned { first, last, cost, gap, iterations }
        };
        solution.cost += planned.cost;
        solution.gap += planned.gap;
        solution.iterations += planned.iterations;
        solution.stretches.push(planned);
    }
    draw_impossible(problem, &mut solution);
    Ok(solution)
}

/// The stretch of an earlier plan that is the same as this one: as far from the start or as far from the
/// end, with the same pieces and the same corridor. All else that a plan depends on must be alike.
fn planned_before(
    problem: &Problem,
    stretch: &Stretch,
    before: &Problem,
    plan: &Solution,
) -> Option<Planned> {
    let (count, count_before) = (problem.pieces.len(), before.pieces.len());
    let from_end = (stretch.first + count_before).checked_sub(count);
    let is_same = |planned: &Planned| {
        let there = planned.first..planned.last;
        problem.pieces[stretch.first..stretch.last] == before.pieces[there.clone()]
            && stretch.corridor.start == plan.corridor_start[there.clone()]
            && stretch.corridor.finish == plan.corridor_finish[there]
    };
    [Some(stretch.first), from_end].into_iter().flatten().find_map(|first| {
        let index = plan.stretches.binary_search_by_key(&first, |planned| planned.first).ok()?;
        Some(plan.stretches[index]).filter(is_same)
    })
}

/// Rounding must not carry a place out of its corridor.
fn inside(place: f64, span: (f64, f64)) -> f64 {
    place.min(span.1).max(span.0)
}

/// The impossible pieces, from the best place up to where the hair ends.
fn draw_impossible(problem: &Problem, solution: &mut Solution) {
    for spot in &solution.impossible {
        let mut place = spot.from_mm;
        for k in spot.piece..spot.resumes {
            let piece = &problem.pieces[k];
            let (least, most) = piece.lengths_mm();
            let sign = piece.direction.sign();
            let length = match spot.cause {
                Cause::Pin(index) if k == spot.piece => {
                    let pin = &problem.pins[index];
                    (sign * (inside(place, (pin.lo_mm, pin.hi_mm)) - place)).clamp(least, most)
                }
                Cause::Hair | Cause::Pin(_) | Cause::Reach => least,
            };
            solution.start_mm[k] = place;
            solution.corridor_start[k] = (place, place);
            place = inside(place + sign * length, problem.usable);
            solution.end_mm[k] = place;
            solution.corridor_finish[k] = (place, place);
        }
    }
}
