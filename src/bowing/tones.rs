//! The tone of every bowed note: what the plan means for speed, weight and sounding point.

use crate::{
    arm::{Placement, Plane},
    score::{Attack, Dynamics, Mark},
    setup::Setup,
    tone::{Bowing, ToneNote, judge},
};

use super::{Bowed, Problem, Solution};

/// Ratio of the planned to the wanted speed of a piece; 1 where it does not move.
pub fn speed_ratio(problem: &Problem, solution: &Solution, piece: usize) -> f64 {
    let used = (solution.end_mm[piece] - solution.start_mm[piece]).abs();
    let piece = &problem.pieces[piece];
    if piece.moves() { used / piece.wanted_mm } else { 1.0 }
}

/// The tone of every piece of a problem; parallel to `bowed`. `placements` are those of the line.
///
/// Where slow practice keeps the hair, the tone told is that of the marked tempo: the same place on
/// the string and the same feeling of weight are what is practised.
pub fn tones(
    setup: &Setup,
    line: &[Attack],
    dynamics: &Dynamics,
    bowed: &[Bowed],
    (problem, solution): (&Problem, &Solution),
    placements: &[Placement],
) -> Vec<ToneNote> {
    let slow = if setup.school.slow_keeps_hair { setup.tempo_share.min(1.0) } else { 1.0 };
    bowed
        .iter()
        .enumerate()
        .map(|(k, note)| {
            let attack = &line[note.note];
            let piece = &problem.pieces[k];
            // A grace note takes its own time at every tempo.
            let slow = if attack.grace.is_some() { 1.0 } else { slow };
            let ratio = speed_ratio(problem, solution, k);
            // What the user takes of the bow is measured by what the dynamic asks for, too.
            let own = attack.speed_factor.max(1e-3);
            judge(
                setup,
                &Bowing {
                    strings: sounding(setup, attack, placements.get(note.note)),
                    level: dynamics.level((attack.onset.to_f64() + attack.end().to_f64()) / 2.0),
                    wanted_mm_per_s: piece.wanted_mm / (piece.seconds * slow * own),
                    // What cannot be played is not planned either.
                    ratio: if ratio > 0.0 { ratio * own } else { own },
                    place_mm: (solution.start_mm[k] + solution.end_mm[k]) / 2.0,
                },
            )
        })
        .collect()
}

/// The strings of the bow plane an attack ends on, with the height of its notes in half steps.
fn sounding(setup: &Setup, attack: &Attack, placement: Option<&Placement>) -> Vec<(u8, f64)> {
    let Some(placement) = placement else { return Vec::new() };
    let on_plane = |string: u8| match placement.plane {
        Plane::String(n) => string == n,
        Plane::Pair(n) => string == n || string == n + 1,
    };
    let strings = &setup.instrument.strings;
    let mut sounding: Vec<(u8, f64)> = attack
        .notes
        .iter()
        .zip(&placement.strings)
        .filter(|(_, string)| on_plane(**string))
        .map(|(note, &string)| {
            let open = strings.get(usize::from(string).saturating_sub(1)).map(|open| open.pitch.midi());
            let harmonic = note.harmonic || attack.marks.contains(&Mark::Harmonic);
            let height = open.filter(|_| !harmonic).map_or(0.0, |open| note.pitch.midi() - open);
            (string, height)
        })
        .collect();
    sounding.sort_by_key(|(string, _)| *string);
    sounding.dedup_by_key(|(string, _)| *string);
    sounding
}
