//! Our plan against a general conic solver on passages of chance.
//! Source of the reference: Clarabel, an independent open-source interior-point solver.

#[path = "common/conic.rs"]
mod conic;
#[path = "common/random.rs"]
mod random;

use conic::conic_cost;
use elbowroom::bowing::{End, Join, Problem, Solution, cost, solve};
use random::{Random, playable};

/// Greatest amount by which a plan breaks any limit, mm.
fn broken_mm(problem: &Problem, plan: &Solution) -> f64 {
    let outside = |place: f64, (lo, hi): (f64, f64)| (lo - place).max(place - hi);
    let mut worst = f64::NEG_INFINITY;
    for (k, piece) in problem.pieces.iter().enumerate() {
        let (start, end) = (plan.start_mm[k], plan.end_mm[k]);
        worst = worst.max(outside(start, problem.usable)).max(outside(end, problem.usable));
        worst = worst.max(outside(piece.direction.sign() * (end - start), piece.lengths_mm()));
        if k > 0 {
            let moved = (start - plan.end_mm[k - 1]).abs();
            worst = worst.max(match piece.join {
                Join::Start => 0.0,
                Join::Same | Join::Turn { .. } => moved,
                Join::Lift { reach_mm } => moved - reach_mm,
            });
        }
    }
    for pin in &problem.pins {
        let place = if pin.at == End::Start { plan.start_mm[pin.piece] } else { plan.end_mm[pin.piece] };
        worst = worst.max(outside(place, (pin.lo_mm, pin.hi_mm)));
    }
    if let (Some(start), Some(&place)) = (problem.start, plan.start_mm.first()) {
        worst = worst.max(outside(place, start));
    }
    worst
}

#[test]
fn plan_costs_what_the_conic_solver_finds() {
    let mut random = Random::new(4);
    let (mut compared, mut given_up) = (0, 0);
    for case in 0..360 {
        let count = match case % 30 {
            7 => 300,
            17 => 120,
            other => [1, 2, 3, 4, 5, 8, 10, 13, 20, 30][other % 10],
        };
        let problem = playable(&mut random, count);
        let plan = solve(&problem).expect("good input");
        assert!(plan.impossible.is_empty());
        assert!(broken_mm(&problem, &plan) <= 1e-9, "case {case}: {} mm", broken_mm(&problem, &plan));
        let whole = cost(&problem, &plan.start_mm, &plan.end_mm);
        assert!((whole - plan.cost).abs() <= 1e-12 * (1.0 + whole), "case {case}");
        assert!(plan.gap <= 1e-4 * (1.0 + plan.cost), "case {case}: gap {:e}", plan.gap);
        let Some((reference, ..)) = conic_cost(&problem) else {
            given_up += 1;
            continue;
        };
        compared += 1;
        let apart = (plan.cost - reference).abs();
        assert!(
            apart <= 1e-6 * reference.abs() + 1e-8,
            "case {case}, {count} pieces: {} {reference}",
            plan.cost
        );
    }
    assert!(compared >= 300, "the conic solver gave up on {given_up}");
}
