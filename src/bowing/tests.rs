//! The closed forms of the model, and the cases in which there is no plan.
//!
//! Source of every number, if no other is named: closed form, derived in the comment.

use super::*;
use crate::score::Direction::{self, Down, Up};

const HAIR_MM: f64 = 650.0;

/// Near enough for a length found by search, mm.
const NEAR_MM: f64 = 1e-4;

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < NEAR_MM
}

/// A note with the limits of a trained player (a whole bow in 0.5 s to 20 s), the place left free.
fn note(direction: Direction, seconds: f64, wanted_mm: f64) -> Piece {
    Piece {
        seconds,
        wanted_mm,
        min_mm: seconds * HAIR_MM / 20.0,
        max_mm: seconds * HAIR_MM / 0.5,
        direction,
        travels: true,
        carries: false,
        place_mm: 325.0,
        place_weight: 0.0,
        speed_weight: 1.0,
        join: Join::Turn { smooth: false },
    }
}

fn problem(pieces: Vec<Piece>) -> Problem {
    Problem {
        hair_mm: HAIR_MM,
        usable: (0.0, HAIR_MM),
        start: None,
        pieces,
        pins: Vec::new(),
        weights: Weights::default(),
    }
}

fn pin(piece: usize, at: End, lo_mm: f64, hi_mm: f64) -> Pin {
    Pin { piece, at, lo_mm, hi_mm }
}

/// Dotted half down and quarter up, again and again, quarter = 60, 150 mm/s: 450 and 150 mm.
fn uneven_pairs(pairs: usize) -> Vec<Piece> {
    (0..pairs).flat_map(|_| [note(Down, 3.0, 450.0), note(Up, 1.0, 150.0)]).collect()
}

#[test]
fn a_stroke_alone_uses_what_it_wants() {
    // r + 1/r is least at r = 1.
    let plan = solve(&problem(vec![note(Down, 1.0, 150.0)])).unwrap();
    assert!(near(plan.end_mm[0] - plan.start_mm[0], 150.0));
    assert!(plan.cost < 1e-9);
}

#[test]
fn a_pair_that_must_come_back_shares_by_the_geometric_mean() {
    // Both use s. d/ds (s/a1 + a1/s + s/a2 + a2/s) = (1/a1 + 1/a2) - (a1 + a2)/s^2 = 0, so that
    // s^2 = a1 a2: sqrt(450 * 150) = 259.81 mm, ratios sqrt(1/3) = 0.577 and sqrt(3) = 1.732.
    let mut back = problem(uneven_pairs(1));
    back.pins = vec![pin(0, End::Start, 40.0, 40.0), pin(1, End::Finish, 40.0, 40.0)];
    let plan = solve(&back).unwrap();
    let used = plan.end_mm[0] - plan.start_mm[0];
    assert!(near(used, (450.0_f64 * 150.0).sqrt()), "{used}");
    assert!((used - 259.8).abs() < 0.05);
    assert!(near(plan.start_mm[0], 40.0) && near(plan.end_mm[1], 40.0));
    // Each note costs r + 1/r - 2 with r = sqrt(3) or its inverse.
    let each = 3.0_f64.sqrt() + 1.0 / 3.0_f64.sqrt() - 2.0;
    assert!((plan.cost - 2.0 * each).abs() < 1e-9);
}

#[test]
fn played_as_marked_the_pair_runs_out_by_drift() {
    // 450, 300, and the third stroke would end at 750: 100 mm too far, after 350 of its 450 mm, so
    // at 3 s * 350/450 = 2 1/3 beats. Source: closed form of the model; drift as in the facts, R4.
    let mut pairs = problem(uneven_pairs(2));
    pairs.start = Some((0.0, 0.0));
    let plan = solve(&pairs).unwrap();
    let outs = run_outs(&pairs, &plan);
    let [out] = &outs[..] else { panic!("{outs:?}") };
    assert_eq!((out.piece, out.at_tip), (2, true));
    assert!(near(out.short_mm, 100.0) && near(out.start_mm(2), 300.0));
    assert!(near(out.seconds_in, 7.0 / 3.0) && near(out.short_seconds, 2.0 / 3.0));
    assert_eq!(out.since, 0);
    for (way, played) in out.path.iter().zip([(0.0, 450.0), (450.0, 300.0), (300.0, 650.0)]) {
        assert!(near(way.0, played.0) && near(way.1, played.1), "{way:?}");
    }
    assert!(near(out.drift_mm.unwrap(), 300.0 - plan.start_mm[2]));
    // The plan shortens the long strokes and lengthens the short ones.
    let bends = (0..4).map(|k| (plan.end_mm[k] - plan.start_mm[k]).abs() / pairs.pieces[k].wanted_mm);
    let most = bends.map(|bend| bend.max(1.0 / bend)).fold(1.0, f64::max);
    assert!(near(out.bend, most), "{} {most}", out.bend);
}

#[test]
fn equal_notes_in_a_slur_share_equally() {
    // Eight notes want 100 mm each; a convex symmetric cost with a fixed sum is least at equal
    // shares, 650 / 8 = 81.25 mm.
    let mut notes: Vec<_> = (0..8).map(|_| note(Up, 0.5, 100.0)).collect();
    notes.iter_mut().skip(1).for_each(|note| note.join = Join::Same);
    let plan = solve(&problem(notes)).unwrap();
    for k in 0..8 {
        assert!(near(plan.start_mm[k] - plan.end_mm[k], 81.25), "{k}: {}", plan.start_mm[k]);
    }
}

#[test]
fn hair_for_four_seconds_goes_at_sixteen_and_a_quarter() {
    // 65 cm in 4 s = 16.25 cm/s, when the note would rather have 25 cm/s.
    let plan = solve(&problem(vec![note(Down, 4.0, 1000.0)])).unwrap();
    assert!(near((plan.end_mm[0] - plan.start_mm[0]) / 4.0, 162.5));
}

#[test]
fn hair_is_speed_times_time() {
    // Source: the facts, W12: 4 s at 0.12 m/s use 48 cm, 0.125 s at 0.4 m/s use 5 cm.
    for (seconds, speed_mm_s, used_mm) in [(4.0, 120.0, 480.0), (0.125, 400.0, 50.0)] {
        let plan = solve(&problem(vec![note(Up, seconds, seconds * speed_mm_s)])).unwrap();
        assert!(near(plan.start_mm[0] - plan.end_mm[0], used_mm));
    }
}

#[test]
fn the_place_pulls_with_its_weight_alone() {
    // A note that stands still: least of w_p (x - z)^2 at x = z, or at the nearest usable place.
    for (place_mm, found_mm) in [(200.0, 200.0), (900.0, 650.0)] {
        let still = Piece { travels: false, place_mm, place_weight: 1.0, ..note(Down, 1.0, 100.0) };
        let plan = solve(&problem(vec![still])).unwrap();
        assert!(near(plan.start_mm[0], found_mm), "{}", plan.start_mm[0]);
        assert_eq!(plan.start_mm, plan.end_mm);
    }
}

#[test]
fn corridor_keeps_clear_of_what_follows() {
    // A note of 100 to 200 mm, then one of at least 600 mm up: that one must start at 600 or
    // beyond, so the first must end there and start between 400 and 550.
    let first = Piece { min_mm: 100.0, max_mm: 200.0, ..note(Down, 1.0, 150.0) };
    let long = Piece { min_mm: 600.0, max_mm: 700.0, ..note(Up, 5.0, 600.0) };
    let (stretches, spots) = corridor(&problem(vec![first, long]));
    assert!(spots.is_empty());
    let [Stretch { first: 0, last: 2, corridor }] = &stretches[..] else { panic!("{stretches:?}") };
    assert_eq!(corridor.start, [(400.0, 550.0), (600.0, 650.0)]);
    assert_eq!(corridor.finish, [(600.0, 650.0), (0.0, 50.0)]);
}

#[test]
fn too_long_a_note_ends_where_the_hair_does_even_at_its_slowest() {
    // At least 800 mm in 4 s = 200 mm/s: 650 mm last 3.25 s; 150 mm and 0.75 s are missing.
    let long = Piece { min_mm: 800.0, max_mm: 900.0, ..note(Up, 4.0, 850.0) };
    let plan = solve(&problem(vec![note(Down, 1.0, 100.0), long, note(Down, 1.0, 100.0)])).unwrap();
    let [spot] = &plan.impossible[..] else { panic!("{:?}", plan.impossible) };
    assert_eq!((spot.piece, spot.resumes, spot.cause), (1, 2, Cause::Hair));
    assert!(near(spot.seconds_in, 3.25) && near(spot.short_mm, 150.0) && near(spot.short_seconds, 0.75));
    // The way there leads to the best place, and the drawing ends with the hair.
    assert!(near(plan.end_mm[0], 650.0) && near(plan.start_mm[1], 650.0) && near(plan.end_mm[1], 0.0));
    assert!(near(plan.end_mm[2] - plan.start_mm[2], 100.0));
}

#[test]
fn every_impossible_spot_is_found() {
    let long = |direction| Piece { min_mm: 700.0, max_mm: 900.0, ..note(direction, 4.0, 800.0) };
    let tail = Piece { join: Join::Same, ..note(Down, 1.0, 50.0) };
    let pieces = vec![long(Down), tail.clone(), long(Up), note(Down, 1.0, 50.0), tail, long(Up)];
    let (stretches, spots) = corridor(&problem(pieces));
    let found: Vec<_> = spots.iter().map(|spot| (spot.piece, spot.resumes)).collect();
    assert_eq!(found, [(0, 2), (2, 3), (5, 6)]);
    assert_eq!(stretches.iter().map(|s| (s.first, s.last)).collect::<Vec<_>>(), [(3, 5)]);
}

#[test]
fn pins_that_cannot_be_met_are_told() {
    // Started at 100 or below, a note of at most 100 mm is 300 mm short of 500.
    let short = Piece { min_mm: 10.0, max_mm: 100.0, ..note(Down, 2.0, 50.0) };
    let mut far = problem(vec![short]);
    far.pins = vec![pin(0, End::Start, 0.0, 100.0), pin(0, End::Finish, 500.0, 600.0)];
    let plan = solve(&far).unwrap();
    let spot = &plan.impossible[0];
    assert_eq!(spot.cause, Cause::Pin(1));
    assert!(near(spot.short_mm, 300.0) && near(spot.seconds_in, 2.0) && near(spot.short_seconds, 6.0));
    assert!(near(plan.start_mm[0], 100.0) && near(plan.end_mm[0], 200.0));

    // A pin behind: even 10 mm pass it by 60 mm, at once.
    far.pins = vec![pin(0, End::Start, 150.0, 160.0), pin(0, End::Finish, 90.0, 100.0)];
    let spot = &solve(&far).unwrap().impossible[0];
    assert!(near(spot.short_mm, 60.0) && spot.seconds_in == 0.0);

    // Two pins on one end, and a pin off the hair.
    for second in [(300.0, 310.0), (700.0, 710.0)] {
        far.pins = vec![pin(0, End::Start, 150.0, 160.0), pin(0, End::Start, second.0, second.1)];
        let plan = solve(&far).unwrap();
        assert_eq!((plan.impossible.len(), plan.impossible[0].cause), (1, Cause::Pin(1)));
        assert!(near(plan.impossible[0].short_mm, second.0 - 160.0));
    }
}

#[test]
fn a_lift_too_short_is_told_and_playing_goes_on() {
    // Ends at 500 at least, must be set at 100 at most, can reach 150: 250 mm are missing.
    let lifted = Piece { join: Join::Lift { reach_mm: 150.0 }, ..note(Down, 1.0, 100.0) };
    let mut lift = problem(vec![note(Down, 1.0, 100.0), lifted]);
    lift.pins = vec![pin(0, End::Finish, 500.0, 600.0), pin(1, End::Start, 50.0, 100.0)];
    let plan = solve(&lift).unwrap();
    let [spot] = &plan.impossible[..] else { panic!("{:?}", plan.impossible) };
    assert_eq!((spot.piece, spot.resumes, spot.cause), (1, 1, Cause::Reach));
    assert!(near(spot.short_mm, 250.0));
    assert!(near(plan.end_mm[1] - plan.start_mm[1], 100.0) && plan.start_mm[1] <= 100.0);
}

#[test]
fn a_start_off_the_hair_is_told() {
    let mut off = problem(vec![note(Down, 1.0, 100.0), note(Up, 1.0, 100.0)]);
    off.start = Some((700.0, 710.0));
    let plan = solve(&off).unwrap();
    assert_eq!((plan.impossible[0].piece, plan.impossible[0].resumes), (0, 1));
    assert!(near(plan.impossible[0].short_mm, 50.0));
}

#[test]
fn points_without_choice_are_kept_exactly() {
    // Fixed ends, a fixed length and a lift without reach leave 80 = 200 - 120 mm for the last.
    let fixed = Piece { min_mm: 120.0, max_mm: 120.0, ..note(Down, 1.0, 100.0) };
    let set = Piece { join: Join::Lift { reach_mm: 0.0 }, ..note(Down, 1.0, 100.0) };
    let mut tied = problem(vec![fixed, set]);
    tied.pins = vec![pin(0, End::Start, 100.0, 100.0), pin(1, End::Finish, 300.0, 300.0)];
    let plan = solve(&tied).unwrap();
    assert!(near(plan.end_mm[0], 220.0) && near(plan.start_mm[1], 220.0) && near(plan.end_mm[1], 300.0));
    // 1.2 + 1/1.2 - 2 = 1/30 and 0.8 + 1/0.8 - 2 = 1/20.
    assert!((plan.cost - (1.0 / 30.0 + 1.0 / 20.0)).abs() < 1e-9, "{}", plan.cost);
}

#[test]
fn the_cost_of_fixed_places_is_written_out() {
    // 90 of 100 mm: 0.9 + 1/0.9 - 2 = 1/90. 110 of 100: 1.1 + 1/1.1 - 2 = 1/110. In one stroke
    // (0.9 - 1.1)^2 = 0.04. Middle 65 mm off: 0.01. A lift of 65 mm: 0.1 * 0.01.
    let first = Piece { place_mm: 110.0, place_weight: 1.0, ..note(Down, 1.0, 100.0) };
    let second = Piece { join: Join::Same, ..note(Down, 1.0, 100.0) };
    let third = Piece { join: Join::Lift { reach_mm: 100.0 }, ..note(Up, 1.0, 100.0) };
    let found = cost(&problem(vec![first, second, third]), &[0.0, 90.0, 265.0], &[90.0, 200.0, 165.0]);
    let expected = 1.0 / 90.0 + 1.0 / 110.0 + 0.04 + 0.01 + 0.001;
    assert!((found - expected).abs() < 1e-12, "{found} {expected}");
}

#[test]
fn a_single_stroke_too_long_is_no_drift() {
    // Wants 800 of 650 mm: 150 mm are missing from the best end.
    let lone = problem(vec![note(Down, 4.0, 800.0), note(Up, 1.0, 100.0)]);
    let outs = run_outs(&lone, &solve(&lone).unwrap());
    assert_eq!(outs.len(), 1);
    assert!(outs[0].drift_mm.is_none() && near(outs[0].short_mm, 150.0));
}

#[test]
fn a_stroke_runs_out_once() {
    let mut notes: Vec<_> = (0..4).map(|_| note(Down, 1.0, 300.0)).collect();
    notes.iter_mut().skip(1).for_each(|note| note.join = Join::Same);
    let slur = problem(notes);
    let plan = solve(&slur).unwrap();
    let outs = run_outs(&slur, &plan);
    // 1200 of 650 mm: 50 mm of the third note are there, 550 mm are missing in all, and 11/6 s.
    assert_eq!(outs.iter().map(|out| out.piece).collect::<Vec<_>>(), [2]);
    assert!(near(outs[0].short_mm, 550.0) && near(outs[0].short_seconds, 11.0 / 6.0));
    assert!(near(outs[0].path[3].0, 650.0) && near(outs[0].path[3].1, 650.0));
}

#[test]
fn the_player_meets_the_plan_at_pins_and_lifts() {
    // Three pairs would end at 450, 300, 750; what is set or fixed before the third pair ends that.
    let mut pieces = uneven_pairs(3);
    pieces[4].join = Join::Lift { reach_mm: 600.0 };
    let mut pairs = problem(pieces);
    pairs.start = Some((0.0, 0.0));
    pairs.weights.lift = 0.0;
    let since = |pairs: &Problem| {
        let outs = run_outs(pairs, &solve(pairs).unwrap());
        outs.iter().map(|out| (out.piece, out.since)).collect::<Vec<_>>()
    };
    assert_eq!(since(&pairs), [(2, 0)]);
    pairs.pins = vec![pin(1, End::Finish, 50.0, 80.0)];
    assert_eq!(since(&pairs), []);
}

#[test]
fn nothing_to_play_is_a_plan_of_nothing() {
    let nothing = problem(Vec::new());
    let plan = solve(&nothing).unwrap();
    assert_eq!((plan.cost, plan.start_mm.len(), plan.impossible.len()), (0.0, 0, 0));
    assert_eq!(run_outs(&nothing, &plan), []);
}

#[test]
fn pieces_without_hair_or_time_stand_still() {
    for (seconds, wanted_mm, max_mm) in [(0.0, 100.0, 200.0), (1.0, 0.0, 200.0), (1.0, 100.0, 0.0)] {
        let still = Piece { seconds, wanted_mm, min_mm: 0.0, max_mm, ..note(Down, 1.0, 1.0) };
        let plan = solve(&problem(vec![note(Up, 1.0, 100.0), still, note(Down, 1.0, 100.0)])).unwrap();
        assert_eq!(plan.start_mm[1], plan.end_mm[1]);
        assert!(plan.cost < 1e-8, "{}", plan.cost);
    }
}

#[test]
fn the_largest_and_smallest_numbers_give_numbers() {
    for wanted_mm in [1e-5, 1e-2, 1e9] {
        for (min_mm, max_mm) in [(0.0, 1e9), (0.0, 1e-3), (1e-7, 600.0), (1e9, 1e9)] {
            let odd = Piece { min_mm, max_mm, ..note(Down, 1e9, wanted_mm) };
            let mut pair = problem(vec![odd, note(Up, 1.0, 100.0)]);
            pair.pins = vec![pin(1, End::Finish, 5.0, 5.0)];
            let plan = solve(&pair).unwrap();
            let outs = run_outs(&pair, &plan);
            let ways = outs.iter().flat_map(|out| out.path.iter().map(|(_, end)| end));
            for place in plan.start_mm.iter().chain(&plan.end_mm).chain(ways) {
                assert!((0.0..=HAIR_MM).contains(place), "{wanted_mm} {min_mm} {max_mm}: {place}");
            }
            assert!(plan.cost.is_finite());
        }
    }
}

#[test]
fn bad_input_is_named() {
    let good = problem(uneven_pairs(2));
    let fault_of = |spoil: &dyn Fn(&mut Problem)| {
        let mut bad = good.clone();
        spoil(&mut bad);
        let error = solve(&bad).unwrap_err();
        (error.field, error.fault)
    };
    let named = |field: &str, fault| (field.to_owned(), fault);
    assert_eq!(fault_of(&|p| p.hair_mm = 0.0), named("hair_mm", Fault::TooSmall));
    assert_eq!(fault_of(&|p| p.usable = (10.0, 5.0)), named("usable", Fault::Empty));
    assert_eq!(
        fault_of(&|p| p.pieces[3].wanted_mm = f64::NAN),
        named("pieces[3].wanted_mm", Fault::NotFinite)
    );
    assert_eq!(fault_of(&|p| p.pieces[1].seconds = -1.0), named("pieces[1].seconds", Fault::TooSmall));
    assert_eq!(fault_of(&|p| p.pieces[1].min_mm = 1e6), named("pieces[1].min_mm..max_mm", Fault::Empty));
    assert_eq!(fault_of(&|p| p.weights.lift = 1e10), named("weights.lift", Fault::TooLarge));
    assert_eq!(
        fault_of(&|p| p.pins.push(pin(4, End::Start, 0.0, 1.0))),
        named("pins[0].piece", Fault::OutOfRange)
    );
    let mut bad = good;
    bad.pins.push(pin(0, End::Start, 2.0, 1.0));
    assert_eq!(solve(&bad).unwrap_err().to_string(), "pins[0].lo_mm..hi_mm is an empty interval");
}
