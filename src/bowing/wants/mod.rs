//! What each note wants of the bow, as a problem for the planner.

mod hair;
mod place;

use crate::{
    arm, lesson,
    score::{Attack, BowPart, Line, Score, StrokeType},
    setup::Setup,
};

use super::{Bowed, Bowing, End, Join, Piece, Pin, Problem, Reached, Stroke, Weights, bow};
pub(crate) use hair::{Eager, eager};
use hair::{accents, wanted_mm};
use place::places;
pub(crate) use place::{Reason, liked};

/// In a silence this long the bow arm comes down and is set anew: where the bow was says nothing any more,
/// s. Assumed.
const SET_ANEW_FROM_S: f64 = 2.0;
/// Separate notes of at most so many seconds, so many in a row, carry the bow along. Assumed.
const CARRIES_TO_S: f64 = 0.3;
const CARRYING: usize = 4;
/// In a tremolo the bow is brought along the hair this fast at most, mm/s. Assumed: half a bow in a slow bar.
const TREMBLING_MM_PER_S: f64 = 100.0;
/// Half the width of a pin on a point, as a share of the hair; keeps the corridor open. Assumed.
const PIN_HALF_WIDTH: f64 = 0.004;

/// The notes as they are bowed at the tempo whose hair and places are wanted, where that is another.
pub(super) fn models(score: &Score, setup: &Setup, line: &Line) -> Option<Vec<Bowed>> {
    (setup.tempo_share < 1.0 && setup.school.slow_keeps_hair)
        .then(|| bow(score, line, &Setup { tempo_share: 1.0, ..setup.clone() }))
}

/// The planner's problem for a line as it is bowed, with the places fixed in it.
pub fn problem(score: &Score, setup: &Setup, pins: &[lesson::Pin], line: &Line, bowing: &Bowing) -> Problem {
    let school = &setup.school;
    let bowed = &bowing.notes;
    let at_tempo = models(score, setup, line);
    let models = at_tempo.as_ref().unwrap_or(bowed);
    let usable = arm::usable_mm(setup);
    let notes = bowed.iter().zip(models).zip(wanted_mm(setup, line, models));
    let mut pieces: Vec<Piece> = notes
        .map(|((note, model), wanted_mm)| piece(setup, &line.notes[note.note], note, model, wanted_mm))
        .collect();
    for k in carrying(bowing) {
        pieces[k].carries = true;
    }
    for k in 1..pieces.len() {
        if bowed[k - 1].stroke_type == StrokeType::Tremolo && matches!(pieces[k].join, Join::Turn { .. }) {
            pieces[k].join = Join::Lift { reach_mm: TREMBLING_MM_PER_S * pieces[k - 1].seconds };
        }
    }
    give_whole_bows(line, bowing, &mut pieces, usable.1 - usable.0);
    for (stroke, of) in bowing.strokes.iter().zip(places(setup, line, bowing, models, &pieces, usable)) {
        for (piece, (place_mm, weight)) in pieces[stroke.notes.clone()].iter_mut().zip(of) {
            (piece.place_mm, piece.place_weight) = (place_mm, weight);
        }
    }
    let hair = setup.bow.hair_mm;
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

/// The bowed notes in which a player brings the bow along unheard: tremolos, and fast notes, each in a bow of
/// its own, of which there are several in a row. Common practice, no source.
fn carrying(bowing: &Bowing) -> Vec<usize> {
    let fast = |stroke: &Stroke| {
        let notes = &bowing.notes[stroke.notes.clone()];
        matches!(notes, [note] if note.sounding_s <= CARRIES_TO_S) && !stroke.lift_before
    };
    let mut found: Vec<usize> = Vec::new();
    for row in bowing.strokes.chunk_by(|one, next| fast(one) && fast(next)) {
        if row.len() >= CARRYING {
            found.extend(row.iter().flat_map(|stroke| stroke.notes.clone()));
        }
    }
    let trembled = |k: &usize| bowing.notes[*k].stroke_type == StrokeType::Tremolo;
    found.extend((0..bowing.notes.len()).filter(trembled));
    found
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

/// One note of the problem, but for its place. The hair and the stroke are those of `model`; the limits come
/// from the time the note really takes.
fn piece(setup: &Setup, note: &Attack, bowed: &Bowed, model: &Bowed, wanted_mm: f64) -> Piece {
    let school = &setup.school;
    let seconds = bowed.sounding_s;
    Piece {
        seconds,
        wanted_mm,
        min_mm: setup.slowest_mm_per_s() * seconds,
        max_mm: setup.fastest_mm_per_s() * seconds,
        direction: bowed.direction,
        travels: setup.habit(model.stroke_type).travels,
        carries: false,
        place_mm: 0.0,
        place_weight: 0.0,
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
