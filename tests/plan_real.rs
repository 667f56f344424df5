//! The plan of real parts against a general conic solver: the same problem, the same cost.
//!
//! Parts: string quartets with printed bow marks, CC0, in `shared/data` beside the checkout.

#[path = "common/conic.rs"]
mod conic;

use std::path::Path;

use elbowroom::{
    analysis::analyse,
    bowing::{Join, Problem, corridor, cost},
    exchange::musicxml,
    lesson::{Lesson, demo::demo},
    setup::Family,
};

/// The pieces from `first` up to `last` as a problem of their own.
fn part_of(problem: &Problem, first: usize, last: usize) -> Problem {
    let mut pieces = problem.pieces[first..last].to_vec();
    pieces[0].join = Join::Start;
    let mut pins = problem.pins.clone();
    pins.retain(|pin| (first..last).contains(&pin.piece));
    for pin in &mut pins {
        pin.piece -= first;
    }
    Problem { pieces, pins, start: if first == 0 { problem.start } else { None }, ..problem.clone() }
}

/// Checks one lesson; tells how many stretches were compared.
fn compare(lesson: &Lesson, name: &str) -> usize {
    let analysis = analyse(lesson);
    let problem = &analysis.problem;
    let (stretches, _) = corridor(problem);
    let mut compared = 0;
    for stretch in stretches {
        let part = part_of(problem, stretch.first, stretch.last);
        // The general solver takes seconds on the longest parts and tells nothing new there.
        if part.pieces.len() > 2_000 {
            continue;
        }
        let Some((expected, ..)) = conic::conic_cost(&part) else { continue };
        let found = cost(
            &part,
            &analysis.solution.start_mm[stretch.first..stretch.last],
            &analysis.solution.end_mm[stretch.first..stretch.last],
        );
        assert!(
            (found - expected).abs() <= 1e-6 * expected.abs().max(1.0),
            "{name}, notes {} to {}: {found} against {expected}",
            stretch.first,
            stretch.last
        );
        compared += 1;
    }
    compared
}

#[test]
fn the_demo_has_the_cost_a_general_solver_finds() {
    assert!(compare(&demo(), "demo") > 0);
}

#[test]
fn real_parts_have_the_cost_a_general_solver_finds() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data/quartets");
    let Ok(entries) = std::fs::read_dir(&folder) else {
        println!("SKIPPED: no real parts in {}", folder.display());
        return;
    };
    let mut paths: Vec<_> = entries.filter_map(|entry| Some(entry.ok()?.path())).collect();
    paths.sort();
    let mut compared = 0;
    for path in paths {
        let bytes = std::fs::read(&path).expect("readable");
        let document = musicxml::open(&bytes).expect("a real file opens");
        let part = document.find_part("viola").expect("a quartet has a viola");
        let imported = document.read(part).expect("a real part reads");
        let lesson = Lesson::new(imported.score, Family::Viola);
        compared += compare(&lesson, &path.display().to_string());
    }
    println!("{compared} stretches of real viola parts compared");
    assert!(compared > 0);
}
