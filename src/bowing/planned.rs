//! The plan of a lesson: the problem, the best way through it, and where a player runs out who does not
//! look ahead.

use std::ops::Range;

use super::{Piece, PlanError, Problem, RunOut, Solution, run_outs, solve_after};

/// A problem with its answers.
#[derive(Clone, Debug, PartialEq)]
pub struct Plan {
    /// The planner's problem; its pieces are the bowed notes.
    pub problem: Problem,
    /// The best way through.
    pub solution: Solution,
    /// The strokes that run out for a player who does not look ahead, in order.
    pub run_outs: Vec<RunOut>,
    /// For each piece whether a place is set for it ([`Problem::pinned`]).
    pub pinned: Vec<bool>,
    /// For each piece whether there is no plan for it ([`Solution::unplanned`]).
    pub unplanned: Vec<bool>,
    /// Why there is no plan at all; the bow then stays at the frog.
    pub error: Option<PlanError>,
}

impl Plan {
    /// Plans a problem; stretches that are the same in a plan made before are taken over.
    pub fn new(problem: Problem, before: Option<&Self>) -> Self {
        let known = before.map(|before| (&before.problem, &before.solution));
        let (solution, error) = match solve_after(&problem, known) {
            Ok(solution) => (solution, None),
            Err(error) => (still(&problem), Some(error)),
        };
        let run_outs = if error.is_none() { run_outs(&problem, &solution) } else { Vec::new() };
        let (pinned, unplanned) = (problem.pinned(), solution.unplanned());
        Self { problem, solution, run_outs, pinned, unplanned, error }
    }

    /// What bowed note `k` wants of the hair.
    pub fn piece(&self, k: usize) -> &Piece {
        &self.problem.pieces[k]
    }

    /// Where bowed note `k` starts and ends, mm from the frog.
    pub fn places_mm(&self, k: usize) -> (f64, f64) {
        (self.solution.start_mm[k], self.solution.end_mm[k])
    }

    /// How a stroke runs out, given as its bowed notes.
    pub fn run_out(&self, notes: &Range<usize>) -> Option<&RunOut> {
        let first = self.run_outs.partition_point(|spot| spot.piece < notes.start);
        self.run_outs.get(first).filter(|spot| spot.piece < notes.end)
    }

    /// Hair the plan gives bowed note `k`, mm.
    pub fn used_mm(&self, k: usize) -> f64 {
        let (start, end) = self.places_mm(k);
        (end - start).abs()
    }

    /// Ratio of the planned to the wanted speed of bowed note `k`; 1 where the bow does not move along.
    pub fn speed_ratio(&self, k: usize) -> f64 {
        let piece = self.piece(k);
        if piece.moves() { self.used_mm(k) / piece.wanted_mm } else { 1.0 }
    }
}

/// The bow at the frog all along.
fn still(problem: &Problem) -> Solution {
    let frog = vec![problem.usable.0; problem.pieces.len()];
    let anywhere = vec![problem.usable; problem.pieces.len()];
    Solution {
        start_mm: frog.clone(),
        end_mm: frog,
        corridor_start: anywhere.clone(),
        corridor_finish: anywhere,
        ..Solution::default()
    }
}
