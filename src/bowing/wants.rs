//! What each note wants of the bow, as a problem for the planner.

use crate::{
    arm, lesson,
    score::{Attack, BowPart, Dynamics, Line, Mark, Score, TempoMap},
    setup::Setup,
};

use super::{Bowed, Bowing, End, Join, Piece, Pin, Problem, Reached, Weights, bow};

/// How much a preferred place moves toward the frog for each dynamic step above mf, as a share of
/// the hair. Assumed; that loud playing lives lower and soft playing higher is common practice.
const PLACE_PER_LEVEL: f64 = 0.05;
/// A stroke's home region counts this many times as much as the place a dynamic suggests. Assumed.
const HOME_FACTOR: f64 = 3.0;
/// A part of the bow that words ask for counts this many times as much. Assumed: enough that it is kept
/// where the notes allow it.
const ASKED_FACTOR: f64 = 10.0;
/// More bow than usual at flautando. Assumed; that the bow is fast and light is common practice.
const FLAUTANDO: f64 = 1.25;
/// In a silence this long the bow arm comes down and is set anew: where the bow was says nothing any more,
/// s. Assumed.
const SET_ANEW_FROM_S: f64 = 2.0;
/// Half the width of a pin on a point, as a share of the hair; keeps the corridor open. Assumed.
const PIN_HALF_WIDTH: f64 = 0.004;

/// The planner's problem for a line as it is bowed, with the places fixed in it.
pub fn problem(score: &Score, setup: &Setup, pins: &[lesson::Pin], line: &Line, bowing: &Bowing) -> Problem {
    let school = &setup.school;
    let Line { notes: attacks, dynamics, tempo, .. } = line;
    let bowed = &bowing.notes;
    // The notes as they are bowed at the tempo whose hair is wanted; parallel to `bowed`.
    let at_tempo = (setup.tempo_share < 1.0 && school.slow_keeps_hair)
        .then(|| bow(score, attacks, &Setup { tempo_share: 1.0, ..setup.clone() }));
    let models = at_tempo.as_ref().unwrap_or(bowed);
    let mut pieces: Vec<Piece> = bowed
        .iter()
        .zip(models)
        .map(|(note, model)| piece(setup, &attacks[note.note], dynamics, tempo, note, model))
        .collect();
    let hair = setup.bow.hair_mm;
    let usable = arm::usable_mm(setup);
    give_whole_bows(line, bowing, &mut pieces, usable.1 - usable.0);
    let pins = pins
        .iter()
        .filter_map(|pin| {
            let piece = bowing.bowed_of_event(line, pin.event)?;
            let (from, to) = (pin.from_share.min(pin.to_share), pin.from_share.max(pin.to_share));
            let widen = (PIN_HALF_WIDTH - (to - from) / 2.0).max(0.0);
            Some(Pin { piece, at: End::Start, lo_mm: (from - widen) * hair, hi_mm: (to + widen) * hair })
        })
        .collect();
    Problem {
        hair_mm: hair,
        usable,
        start: None,
        pieces,
        pins,
        weights: Weights {
            even_in_stroke: school.even_in_stroke,
            even_across_turn: school.even_across_turn,
            lift: school.lift_weight,
        },
    }
}

/// Where words ask for the whole bow, a stroke wants all the usable hair, as far as its time allows.
fn give_whole_bows(line: &Line, bowing: &Bowing, pieces: &mut [Piece], usable_mm: f64) {
    for stroke in &bowing.strokes {
        let whole = |k: usize| line.notes[bowing.notes[k].note].manner.part == Some(BowPart::Whole);
        let pieces = &mut pieces[stroke.notes.clone()];
        let wanted_mm: f64 = pieces.iter().map(|piece| piece.wanted_mm).sum();
        if !stroke.notes.clone().all(whole) || wanted_mm <= 0.0 || wanted_mm >= usable_mm {
            continue;
        }
        for piece in pieces.iter_mut().filter(|piece| piece.travels) {
            let most_mm = piece.max_mm.max(piece.wanted_mm);
            piece.wanted_mm = (piece.wanted_mm * usable_mm / wanted_mm).min(most_mm);
        }
    }
}

/// One note of the problem. The hair, the stroke and its home are those of `model`; the limits come
/// from the time the note really takes.
fn piece(
    setup: &Setup,
    note: &Attack,
    dynamics: &Dynamics,
    tempo: &TempoMap,
    bowed: &Bowed,
    model: &Bowed,
) -> Piece {
    let school = &setup.school;
    let habit = setup.habit(model.stroke_type);
    let light = if note.manner.flautando { FLAUTANDO } else { 1.0 };
    let factor = habit.speed * light * note.speed_factor * (1.0 + school.accent_extra * accents(note));
    let level = dynamics.level(note.onset.to_f64());
    // The whole bow has no place of its own.
    let asked = note.manner.part.filter(|part| *part != BowPart::Whole);
    let place = match (asked, habit.home) {
        (Some(part), _) => part.share(),
        (None, Some((lo, hi))) => (lo + hi) / 2.0,
        (None, None) => {
            let middle = setup.player.home.map_or(0.5, |(lo, hi)| (lo + hi) / 2.0);
            middle - PLACE_PER_LEVEL * (level - 4.0)
        }
    };
    let seconds = bowed.sounding_s;
    Piece {
        seconds,
        wanted_mm: factor * wanted_mm(setup, note, dynamics, tempo, model),
        min_mm: setup.slowest_mm_per_s() * seconds,
        max_mm: setup.fastest_mm_per_s() * seconds,
        direction: bowed.direction,
        travels: habit.travels,
        place_mm: place * setup.bow.hair_mm,
        place_weight: school.place_weight
            * match (asked, habit.home) {
                (Some(_), _) => ASKED_FACTOR,
                (None, Some(_)) => HOME_FACTOR,
                (None, None) => 1.0,
            },
        speed_weight: school.speed_weight,
        join: match bowed.reached {
            Reached::First => Join::Start,
            Reached::SameStroke => Join::Same,
            Reached::BowChange => Join::Turn { smooth: accents(note) == 0.0 },
            Reached::Air(gap_s) => {
                let reach_mm = school.air_speed_mm_per_s * (gap_s - school.set_time_s).max(0.0);
                let anew = gap_s >= SET_ANEW_FROM_S && reach_mm >= setup.bow.hair_mm;
                if anew { Join::Start } else { Join::Lift { reach_mm } }
            }
        },
    }
}

/// Accents on a note: 1 for each kind of stronger start, 2 for fp.
fn accents(note: &Attack) -> f64 {
    if note.marks.contains(&Mark::FortePiano) {
        2.0
    } else if note.marks.iter().any(|mark| mark.is_accent()) {
        1.0
    } else {
        0.0
    }
}

/// Integral of the wanted speed of the dynamic over the sounding time, mm.
///
/// On a piece where the level is linear in time the speed is exponential in time, from v0 to v1,
/// and its mean is (v1 - v0) / ln(v1 / v0). The mean is the same at every practice tempo.
fn wanted_mm(setup: &Setup, note: &Attack, dynamics: &Dynamics, tempo: &TempoMap, bowed: &Bowed) -> f64 {
    let from = note.onset.to_f64();
    if note.grace.is_some() {
        return setup.speed_mm_per_s(dynamics.level(from)) * bowed.sounding_s;
    }
    let written_s = tempo.seconds(note.end()) - tempo.seconds(note.onset);
    if written_s <= 0.0 {
        return 0.0;
    }
    let mean_speed = dynamics
        .pieces(note.onset, note.end())
        .into_iter()
        .map(|(a, b, level_a, level_b)| {
            let (v0, v1) = (setup.speed_mm_per_s(level_a), setup.speed_mm_per_s(level_b));
            let seconds = tempo.seconds_f64(b) - tempo.seconds_f64(a);
            let mean = if (v1 / v0 - 1.0).abs() < 1e-9 { v0 } else { (v1 - v0) / (v1 / v0).ln() };
            mean * seconds
        })
        .sum::<f64>()
        / written_s;
    mean_speed * bowed.sounding_s
}
