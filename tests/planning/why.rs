//! Why a note lies where it does: what is said is compared with plans in which the reason is taken away.

use elbowroom::{
    analysis::analyse,
    bowing::{Because, Join, Problem, Reasons, solve},
    lesson::{Lesson, demo::demo},
    score::{Dynamic, Quarters, SignKind},
};

use crate::{
    music::{DOTTED_HALF, EIGHTH, HALF, QUARTER, WHOLE, violin, written},
    random::Random,
};

/// Notes and slurs of chance, with dynamics.
fn chance(seed: u64) -> Lesson {
    let mut random = Random::new(seed);
    let mut writer = violin();
    for _ in 0..24 {
        let values = [EIGHTH, QUARTER, QUARTER, HALF, DOTTED_HALF, WHOLE];
        let pick = |random: &mut Random| values[(random.between(0.0, 6.0) as usize).min(5)];
        writer = writer.note("A4", pick(&mut random));
        if random.chance(0.3) {
            writer = writer.note("B4", pick(&mut random)).slur(2);
        }
    }
    for at in [0, 12, 24, 36] {
        let dynamic = Dynamic::ALL[(random.between(1.0, 7.0) as usize).min(6)];
        writer = writer.sign(Quarters::from(at), SignKind::Dynamic(dynamic));
    }
    written(writer).0
}

/// A plan is convex, so that an end moves the other way when all that pulls it is taken away (closed form:
/// monotone slopes). Where a limit holds an end it stays.
#[test]
fn what_is_said_to_pull_does_pull() {
    let (mut claims, mut wrong) = (0, Vec::new());
    for seed in 0..12 {
        let lesson = if seed == 0 { demo() } else { chance(seed) };
        let analysis = analyse(&lesson);
        let plan = &analysis.plan;
        let reasons = Reasons::new(&lesson, &analysis.line, &analysis.bowing, plan);
        for stroke in &analysis.bowing.strokes {
            let (first, last) = (stroke.notes.start, stroke.notes.end - 1);
            let because = reasons.why(first).because;
            let (kept, at) = match because {
                Because::Before => (first..plan.problem.pieces.len(), plan.solution.start_mm[first]),
                Because::After => (0..last + 1, plan.solution.end_mm[last]),
                Because::Impossible | Because::Fixed | Because::Liked | Because::Limits => continue,
            };
            let mut pieces = plan.problem.pieces[kept.clone()].to_vec();
            pieces[0].join = Join::Start;
            let mut pins = plan.problem.pins.clone();
            pins.retain(|pin| kept.contains(&pin.piece));
            pins.iter_mut().for_each(|pin| pin.piece -= kept.start);
            let weights = plan.problem.weights.clone();
            let alone = solve(&Problem { pieces, pins, weights, ..plan.problem }).expect("a problem");
            let now = if because == Because::Before { alone.start_mm[0] } else { alone.end_mm[last] };
            let (start, end) = plan.places_mm(first);
            let off = (start + end) / 2.0 - plan.piece(first).place_mm;
            claims += 1;
            if (now - at) * off.signum() > 0.01 {
                wrong.push((seed, first, because, at, now));
            }
        }
    }
    assert!(claims > 20 && wrong.is_empty(), "of {claims}: {wrong:?}");
}

/// The parts of the cost are all of it.
#[test]
fn the_parts_of_the_cost_add_up() {
    for seed in 1..6 {
        let lesson = chance(seed);
        let analysis = analyse(&lesson);
        let reasons = Reasons::new(&lesson, &analysis.line, &analysis.bowing, &analysis.plan);
        let whys: Vec<_> = (0..analysis.bowing.notes.len()).map(|k| reasons.why(k)).collect();
        if analysis.plan.solution.impossible.is_empty() {
            let sum: f64 = whys.iter().flat_map(|why| why.cost).sum();
            assert!(
                (sum - analysis.plan.solution.cost).abs() < 1e-6,
                "{sum} {}",
                analysis.plan.solution.cost
            );
        }
        assert!(whys.iter().all(|why| why.words.ends_with('.')));
    }
}
