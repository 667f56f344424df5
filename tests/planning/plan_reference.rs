//! Our plan against a general conic solver on passages of chance.
//! Source of the reference: Clarabel, an independent open-source interior-point solver.

use elbowroom::bowing::{End, Join, Piece, Problem, Solution, corridor, cost, solve};

use crate::{
    conic::conic_cost,
    random::{Random, playable},
};

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

/// The same passage with a player who can hardly play slowly: the slowest speeds are raised as long
/// as there is a way through, so that the corridor is narrow somewhere.
fn tightened(mut problem: Problem) -> Problem {
    for _ in 0..40 {
        let mut harder = problem.clone();
        for piece in &mut harder.pieces {
            piece.min_mm = (1.15 * piece.min_mm).min(piece.max_mm);
        }
        if !corridor(&harder).1.is_empty() {
            break;
        }
        problem = harder;
    }
    problem
}

#[test]
fn plan_costs_what_the_conic_solver_finds() {
    let mut random = Random::new(4);
    let (mut compared, mut given_up) = (0, 0);
    let (mut lifts, mut pins, mut stops, mut narrow) = (0, 0, 0, 0);
    for case in 0..1200 {
        let count = match case % 100 {
            7 => 300,
            17 => 120,
            other => [1, 2, 3, 4, 5, 8, 10, 13, 20, 30][other % 10],
        };
        let problem = playable(&mut random, count);
        let problem = if case % 3 == 2 { tightened(problem) } else { problem };
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
        let has = |test: &dyn Fn(&Piece) -> bool| usize::from(problem.pieces.iter().any(test));
        lifts += has(&|piece| matches!(piece.join, Join::Lift { .. }));
        stops += has(&|piece| !piece.travels);
        pins += usize::from(!problem.pins.is_empty());
        narrow += usize::from(plan.corridor_start.iter().any(|(lo, hi)| hi - lo < 0.05 * problem.hair_mm));
        let apart = (plan.cost - reference).abs();
        assert!(
            apart <= 1e-6 * reference.abs() + 1e-8,
            "case {case}, {count} pieces: {} {reference}",
            plan.cost
        );
    }
    println!(
        "{compared} passages compared: {lifts} with lifts, {stops} with stops, {pins} with pins, {narrow} narrow"
    );
    assert!(compared >= 1000, "the conic solver gave up on {given_up}");
    assert!(lifts.min(stops).min(pins).min(narrow) >= 100);
}
