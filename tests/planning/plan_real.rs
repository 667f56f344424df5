//! The plan of real parts against a general conic solver: the same problem, the same cost.
//!
//! Parts: string quartets with printed bow marks, CC0, in `shared/data` beside the checkout.

use elbowroom::{
    analysis::analyse,
    bowing::{Join, Problem, solve},
    lesson::{Lesson, demo::demo},
};

use crate::{conic, data};

/// Notes compared at a time. On long passages the general solver's own accuracy, not ours, is what
/// would be measured: its answer breaks the limits of the shortest notes by more than 1e-6 of the
/// cost.
const WINDOW: usize = 120;
/// From the start of one window to that of the next; the plan of the whole part is bound by its own
/// dual bound everywhere.
const STRIDE: usize = 960;

/// `count` pieces from `first` on, as a problem of their own.
fn window(problem: &Problem, first: usize, count: usize) -> Problem {
    let last = (first + count).min(problem.pieces.len());
    let mut pieces = problem.pieces[first..last].to_vec();
    pieces[0].join = Join::Start;
    let mut pins = problem.pins.clone();
    pins.retain(|pin| (first..last).contains(&pin.piece));
    for pin in &mut pins {
        pin.piece -= first;
    }
    Problem { pieces, pins, ..problem.clone() }
}

/// Checks one lesson; tells how many windows were compared.
fn compare(lesson: &Lesson, name: &str) -> usize {
    let analysis = analyse(lesson);
    let whole = &analysis.plan.solution;
    assert!(whole.gap <= 1e-6 * whole.cost.max(1.0), "{name}: {} above the dual bound", whole.gap);
    let mut compared = 0;
    for first in (0..analysis.plan.problem.pieces.len()).step_by(STRIDE) {
        let part = window(&analysis.plan.problem, first, WINDOW);
        let found = solve(&part).expect("a real passage is a sound problem");
        // The general solver has no notion of a spot that cannot be played.
        if !found.impossible.is_empty() {
            continue;
        }
        let Some((expected, ..)) = conic::conic_cost(&part) else { continue };
        assert!(
            (found.cost - expected).abs() <= 1e-6 * expected.max(1.0),
            "{name}, from note {first}: {} against {expected}",
            found.cost
        );
        compared += 1;
    }
    compared
}

#[test]
fn the_demo_has_the_cost_a_general_solver_finds() {
    assert_eq!(compare(&demo(), "demo"), 1);
}

#[test]
fn real_parts_have_the_cost_a_general_solver_finds() {
    if data::shared("quartets").is_none() {
        return;
    }
    let (mut compared, mut parts) = (0, 0);
    for (name, imported) in data::real_parts() {
        compared += compare(&data::lesson(imported), &name);
        parts += 1;
    }
    println!("{compared} windows of {WINDOW} notes of {parts} real parts compared");
    assert!(parts >= 20 && compared >= 2 * parts);
}
