//! What holds of every plan, on passages of chance: limits, symmetries, the meaning of the corridor.
//! Source: the definitions of the model; no numbers of our own are compared.

use elbowroom::bowing::{Cause, End, Join, Piece, Pin, Problem, Solution, corridor, cost, run_outs, solve};
use proptest::prelude::*;

use crate::random::{Random, passage, playable};

/// Limits hold to this, mm.
const EXACT_MM: f64 = 1e-9;

fn near(a: f64, b: f64, within: f64) -> bool {
    (a - b).abs() <= within
}

fn inside(place: f64, span: (f64, f64), within: f64) -> bool {
    span.0 - within <= place && place <= span.1 + within
}

fn plan(problem: &Problem) -> Solution {
    solve(problem).expect("good input")
}

/// The same passage with the bow turned round: frog for tip, down for up.
fn mirrored(problem: &Problem) -> Problem {
    let flip = |(lo, hi): (f64, f64)| (problem.hair_mm - hi, problem.hair_mm - lo);
    let mut mirror = problem.clone();
    mirror.usable = flip(problem.usable);
    mirror.start = problem.start.map(flip);
    for piece in &mut mirror.pieces {
        piece.direction = piece.direction.turned();
        piece.place_mm = problem.hair_mm - piece.place_mm;
    }
    for pin in &mut mirror.pins {
        (pin.lo_mm, pin.hi_mm) = flip((pin.lo_mm, pin.hi_mm));
    }
    mirror
}

/// The same passage on a bow `by` times as long, taking `slower` times as long.
fn scaled(problem: &Problem, by: f64, slower: f64) -> Problem {
    let span = |(lo, hi): (f64, f64)| (by * lo, by * hi);
    let mut scaled = problem.clone();
    scaled.hair_mm *= by;
    scaled.usable = span(problem.usable);
    scaled.start = problem.start.map(span);
    for piece in &mut scaled.pieces {
        piece.seconds *= slower;
        piece.wanted_mm *= by;
        piece.min_mm *= by;
        piece.max_mm *= by;
        piece.place_mm *= by;
        if let Join::Lift { reach_mm } = &mut piece.join {
            *reach_mm *= by;
        }
    }
    for pin in &mut scaled.pins {
        (pin.lo_mm, pin.hi_mm) = span((pin.lo_mm, pin.hi_mm));
    }
    scaled
}

/// A way of chance through a stretch, within the corridor.
fn walk(random: &mut Random, problem: &Problem) -> Option<(Vec<f64>, Vec<f64>)> {
    let (stretches, _) = corridor(problem);
    let within = &stretches.first()?.corridor;
    let (mut start, mut end): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
    for (k, piece) in problem.pieces.iter().enumerate() {
        let reach = match (piece.join, end.last()) {
            (Join::Start, _) | (_, None) => within.start[k],
            (Join::Same | Join::Turn { .. }, Some(&place)) => (place, place),
            (Join::Lift { reach_mm }, Some(&place)) => (place - reach_mm, place + reach_mm),
        };
        let mut pick = |reach: (f64, f64), span: (f64, f64)| {
            let (lo, hi) = (reach.0.max(span.0), reach.1.min(span.1));
            assert!(lo <= hi + EXACT_MM, "piece {k}: no way on from inside the corridor");
            random.between(lo, hi.max(lo))
        };
        let from = pick(reach, within.start[k]);
        let travel = piece.travel_mm();
        start.push(from);
        end.push(pick((from + travel.0, from + travel.1), within.finish[k]));
    }
    Some((start, end))
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 96, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn plan_keeps_to_the_corridor_and_the_limits(seed in any::<u64>(), count in 1_usize..120) {
        let problem = passage(&mut Random::new(seed), count);
        let plan = plan(&problem);
        let broken = |k: usize| plan.impossible.iter().any(|spot| (spot.piece..spot.resumes).contains(&k));
        prop_assert!(plan.cost.is_finite() && plan.gap <= 1e-4 * (1.0 + plan.cost));
        for (k, piece) in problem.pieces.iter().enumerate() {
            let (start, end) = (plan.start_mm[k], plan.end_mm[k]);
            prop_assert!(inside(start, plan.corridor_start[k], EXACT_MM));
            prop_assert!(inside(end, plan.corridor_finish[k], EXACT_MM));
            prop_assert!(inside(start, problem.usable, EXACT_MM) && inside(end, problem.usable, EXACT_MM));
            if !broken(k) {
                prop_assert!(inside(end - start, piece.travel_mm(), EXACT_MM));
                if k > 0 && !broken(k - 1) {
                    let fails_here = plan.impossible.iter().any(|spot| spot.piece == k);
                    let moved = (start - plan.end_mm[k - 1]).abs();
                    match piece.join {
                        Join::Start => {}
                        Join::Same | Join::Turn { .. } => prop_assert!(moved <= EXACT_MM),
                        Join::Lift { reach_mm } => prop_assert!(fails_here || moved <= reach_mm + EXACT_MM),
                    }
                }
            }
        }
        for (index, pin) in problem.pins.iter().enumerate() {
            let missed = plan.impossible.iter().any(|spot| spot.cause == Cause::Pin(index));
            let place = if pin.at == End::Start { plan.start_mm[pin.piece] } else { plan.end_mm[pin.piece] };
            prop_assert!(missed || broken(pin.piece) || inside(place, (pin.lo_mm, pin.hi_mm), EXACT_MM));
        }
        for spot in &plan.impossible {
            prop_assert!(spot.short_mm > 0.0 && spot.short_seconds >= 0.0);
            prop_assert!((0.0..=problem.pieces[spot.piece].seconds).contains(&spot.seconds_in));
        }
    }

    #[test]
    fn the_mirror_image_has_the_mirrored_plan(seed in any::<u64>(), count in 1_usize..100) {
        let problem = passage(&mut Random::new(seed), count);
        let mirror = mirrored(&problem);
        let (here, there) = (plan(&problem), plan(&mirror));
        prop_assert!(near(here.cost, there.cost, 1e-7 * (1.0 + here.cost)));
        prop_assert_eq!(here.impossible.len(), there.impossible.len());
        for (a, b) in here.impossible.iter().zip(&there.impossible) {
            prop_assert_eq!((a.piece, a.resumes, a.cause), (b.piece, b.resumes, b.cause));
            prop_assert!(near(a.short_mm, b.short_mm, 1e-6) && near(a.seconds_in, b.seconds_in, 1e-6));
        }
        for (a, b) in here.corridor_start.iter().zip(&there.corridor_start) {
            prop_assert!(near(a.0, problem.hair_mm - b.1, 1e-6) && near(a.1, problem.hair_mm - b.0, 1e-6));
        }
        if here.impossible.is_empty() {
            let flip = |places: &[f64]| places.iter().map(|x| problem.hair_mm - x).collect::<Vec<_>>();
            let back = cost(&problem, &flip(&there.start_mm), &flip(&there.end_mm));
            prop_assert!(near(back, here.cost, 1e-7 * (1.0 + here.cost)));
        }
    }

    #[test]
    fn neither_the_length_of_the_bow_nor_of_time_matters(
        seed in any::<u64>(), count in 1_usize..100, by in 0.5_f64..2.0, slower in 0.5_f64..2.0,
    ) {
        let problem = playable(&mut Random::new(seed), count);
        let other = scaled(&problem, by, slower);
        let (here, there) = (plan(&problem), plan(&other));
        prop_assert!(there.impossible.is_empty());
        prop_assert!(near(here.cost, there.cost, 1e-7 * (1.0 + here.cost)));
        for (a, b) in here.corridor_finish.iter().zip(&there.corridor_finish) {
            prop_assert!(near(by * a.0, b.0, 1e-6) && near(by * a.1, b.1, 1e-6));
        }
    }

    #[test]
    fn the_corridor_is_every_place_the_rest_can_be_played_from(
        seed in any::<u64>(), count in 1_usize..60, part in 0.0_f64..1.0, at in any::<prop::sample::Index>(),
    ) {
        let problem = playable(&mut Random::new(seed), count);
        let k = at.index(count);
        let (lo, hi) = plan(&problem).corridor_start[k];
        let plays_from = |place_mm: f64| {
            let mut held = problem.clone();
            held.pins.push(Pin { piece: k, at: End::Start, lo_mm: place_mm, hi_mm: place_mm });
            corridor(&held).1.is_empty()
        };
        prop_assert!(plays_from(lo + part * (hi - lo)));
        prop_assert!(!plays_from(lo - 1e-3) && !plays_from(hi + 1e-3));
    }

    #[test]
    fn no_way_of_chance_is_better_than_the_plan(seed in any::<u64>(), count in 1_usize..40) {
        let mut random = Random::new(seed);
        let problem = playable(&mut random, count);
        let plan = plan(&problem);
        for _ in 0..20 {
            let Some((start, end)) = walk(&mut random, &problem) else { break };
            prop_assert!(cost(&problem, &start, &end) >= plan.cost - plan.gap - 1e-9);
            // Half-way between the two is no better either: the cost is convex.
            let mix = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| 0.999 * a + 0.001 * b).collect::<Vec<_>>();
            let close = cost(&problem, &mix(&plan.start_mm, &start), &mix(&plan.end_mm, &end));
            prop_assert!(close >= plan.cost - plan.gap - 1e-9);
        }
    }

    #[test]
    fn the_same_problem_has_the_same_plan_and_run_outs(seed in any::<u64>(), count in 0_usize..100) {
        let problem = passage(&mut Random::new(seed), count.max(1));
        let (once, twice) = (plan(&problem), plan(&problem));
        prop_assert_eq!(&once, &twice);
        prop_assert_eq!(run_outs(&problem, &once), run_outs(&problem, &twice));
    }

    #[test]
    fn a_way_into_a_run_out_plays_the_wanted_lengths_on_the_hair(seed in any::<u64>(), count in 1_usize..100) {
        let problem = passage(&mut Random::new(seed), count);
        let plan = plan(&problem);
        let longest = problem.pieces.iter().map(|piece| piece.wanted_mm).fold(1.0, f64::max);
        for out in run_outs(&problem, &plan) {
            let last = out.since + out.path.len() - 1;
            prop_assert!((out.since..=last).contains(&out.piece));
            for (k, (start, end)) in (out.since..=last).zip(&out.path) {
                let piece = &problem.pieces[k];
                prop_assert!(inside(*end, problem.usable, EXACT_MM));
                let wanted = if piece.moves() { piece.wanted_mm } else { 0.0 };
                let short_mm = (start + piece.direction.sign() * wanted - end).abs();
                // A piece has its wanted length, or ends where the hair does.
                let at_end = [problem.usable.0, problem.usable.1].contains(end);
                prop_assert!(at_end || near(short_mm, 0.0, 2e-6));
            }
            let end = if out.at_tip { problem.usable.1 } else { problem.usable.0 };
            prop_assert!(near(out.path[out.piece - out.since].1, end, EXACT_MM), "the hair ends there");
            prop_assert!((0.0..=problem.pieces[out.piece].seconds).contains(&out.seconds_in));
            prop_assert!(out.short_mm > 0.0 && out.short_mm <= longest * count as f64 && out.bend >= 1.0);
        }
    }

    /// A little more or less of every wanted length and time, as at another tempo, turns no verdict round:
    /// what is missing changes by no more than the lengths of the strokes that count.
    #[test]
    fn run_outs_change_smoothly(seed in any::<u64>(), count in 1_usize..60, by in 0.999_f64..1.001) {
        let mut problem = playable(&mut Random::new(seed), count);
        let short = |problem: &Problem| {
            let plan = plan(problem);
            let mut short = vec![0.0; problem.pieces.len()];
            for out in run_outs(problem, &plan) {
                let first = (0..=out.piece).rev().find(|&k| problem.pieces[k].join != Join::Same).unwrap_or(0);
                short[first] = out.short_mm;
            }
            (short, plan)
        };
        let (here, at) = short(&problem);
        problem.pieces.iter_mut().for_each(|piece| piece.wanted_mm *= by);
        let (there, to) = short(&problem);
        let moved = at.start_mm.iter().zip(&to.start_mm).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
        let lengths: f64 = problem.pieces.iter().map(Piece::wanted_travel_mm).sum();
        for (a, b) in here.iter().zip(&there) {
            prop_assert!((a - b).abs() <= 2.0 * moved + 0.001 * lengths + 1e-6, "{} {}", a, b);
        }
    }
}
