//! The marked path: the passage played at the wanted speeds with no foresight.
//!
//! It shows drift, the creeping toward tip or frog in uneven rhythms. It meets the plan again at
//! every lift, at every pin, and at the stroke after a run-out. Where the bow is set on the string
//! the player sees at least the first stroke: if the plan starts too near the end of the hair for
//! it, the path starts as much farther off as that stroke needs and the place allows.

use serde::{Deserialize, Serialize};

use super::plan::Solution;
use super::problem::{End, Join, Piece, Problem};

/// The hair ends only if it is passed by more than this, mm: the rounding of long sums. Assumed.
const PASSED_MM: f64 = 1e-6;

/// A run-out that misses less is none, mm: the bow stays at the end of the hair and goes on from
/// there. Assumed: nobody sees the hair end to a few millimetres.
/// The hundredth keeps whole millimetres clear of the border.
pub(crate) const NOTABLE_RUN_OUT_MM: f64 = 5.01;

/// A run-out is told as drift if the drift makes at least this part of what is missing. Assumed.
const DRIFT_PART: f64 = 0.5;

/// The passage as it would be played at the wanted speeds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct MarkedPath {
    /// Where each piece starts, mm.
    pub start_mm: Vec<f64>,
    /// Where each piece ends, mm; the end of the hair where it runs out. The next piece starts
    /// elsewhere where the path meets the plan again.
    pub end_mm: Vec<f64>,
    /// The spots where the hair ends, in the order of the music, one a stroke at most.
    pub run_outs: Vec<RunOut>,
}

/// A spot where the hair ends at the wanted speeds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RunOut {
    /// The piece during which it ends.
    pub piece: usize,
    /// After this much of its sounding time, s.
    pub seconds_in: f64,
    /// Hair missing to the end of the piece, mm.
    pub short_mm: f64,
    /// Time missing to the end of the piece, s.
    pub short_seconds: f64,
    /// Where the piece started, mm.
    pub start_mm: f64,
    /// Set if strokes before this one built it up: they have carried it from the plan by at least
    /// half of what is missing. Not set if the stroke alone is too long for the hair, or starts on
    /// the plan.
    pub drift: Option<Drift>,
    /// The tip end, or else the frog end.
    pub at_tip: bool,
}

/// How far the marked path has crept from the plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drift {
    /// The piece at whose start the path last met the plan.
    pub since: usize,
    /// From the plan to the path at the start of the stroke that runs out, mm, toward the tip.
    pub mm: f64,
}

/// Plays a problem as marked, from where its plan starts.
///
/// Expects the solution of this very problem.
pub fn marked_path(problem: &Problem, solution: &Solution) -> MarkedPath {
    let mut meets = vec![false; problem.pieces.len() + 1];
    for pin in &problem.pins {
        let boundary = pin.piece + usize::from(pin.at == End::Finish);
        if let Some(meet) = meets.get_mut(boundary) {
            *meet = true;
        }
    }
    for spot in &solution.impossible {
        meets[spot.resumes] = true;
    }
    let mut path = MarkedPath::default();
    let mut place = 0.0;
    let mut since = 0;
    let mut stroke = 0;
    let mut stroke_start = 0.0;
    // What is missing of the stroke since its hair ended.
    let mut missing_mm = 0.0;
    for (k, piece) in problem.pieces.iter().enumerate() {
        let starts_stroke = k == 0 || piece.join != Join::Same;
        if starts_stroke {
            path.forget_below(NOTABLE_RUN_OUT_MM, missing_mm);
        }
        let set = k == 0 || !piece.join.stays();
        if set || meets[k] || (starts_stroke && missing_mm > NOTABLE_RUN_OUT_MM) {
            place = solution.start_mm[k];
            since = k;
            if set && !meets[k] {
                place = with_room(problem, k, place, solution.corridor_start[k]);
            }
        }
        if starts_stroke {
            (stroke, stroke_start) = (k, place);
        }
        if starts_stroke || since == k {
            missing_mm = 0.0;
        }
        let ran_out = missing_mm > 0.0;
        let wanted = piece.wanted_travel_mm();
        let sign = piece.direction.sign();
        let goal = place + sign * wanted;
        let end = goal.clamp(problem.usable.0, problem.usable.1);
        let short_mm = (goal - end).abs();
        path.start_mm.push(place);
        path.end_mm.push(end);
        if short_mm > PASSED_MM {
            missing_mm += short_mm;
        }
        if short_mm > PASSED_MM && !ran_out {
            let seconds_in = piece.seconds * (1.0 - short_mm / wanted).clamp(0.0, 1.0);
            let planned = solution.start_mm[stroke];
            let crept_mm = stroke_start - planned;
            let length_mm = sign * (goal - stroke_start);
            let alone = length_mm > problem.usable.1 - problem.usable.0 + PASSED_MM;
            let crept = since < stroke && !alone && sign * crept_mm >= DRIFT_PART * short_mm;
            path.run_outs.push(RunOut {
                piece: k,
                seconds_in,
                short_mm,
                short_seconds: piece.seconds - seconds_in,
                start_mm: place,
                drift: crept.then_some(Drift { since, mm: crept_mm }),
                at_tip: sign > 0.0,
            });
        }
        place = end;
    }
    path.forget_below(NOTABLE_RUN_OUT_MM, missing_mm);
    path
}

impl MarkedPath {
    /// The stroke that ends here has run out of this much, mm; too little is none.
    fn forget_below(&mut self, least_mm: f64, missing_mm: f64) {
        if missing_mm > 0.0 && missing_mm <= least_mm {
            self.run_outs.pop();
        }
    }
}

/// The place nearest to `place` within `allowed` from which the stroke that starts with piece `first`
/// has its wanted hair; as near to that as there is.
fn with_room(problem: &Problem, first: usize, place: f64, allowed: (f64, f64)) -> f64 {
    let notes = &problem.pieces[first..];
    let same = notes[1..].iter().take_while(|piece| piece.join == Join::Same).count();
    let wanted: f64 = notes[..=same].iter().map(Piece::wanted_travel_mm).sum();
    let (lo, hi) = problem.usable;
    let fits = if notes[0].direction.sign() > 0.0 {
        (lo, (hi - wanted).max(lo))
    } else {
        ((lo + wanted).min(hi), hi)
    };
    let goal = place.min(fits.1).max(fits.0);
    goal.min(allowed.1).max(allowed.0)
}
