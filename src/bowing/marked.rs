//! The marked path: the passage played at the wanted speeds with no foresight.
//!
//! It shows drift, the creeping toward tip or frog in uneven rhythms. It meets the plan again at
//! every lift, at every pin, and at the stroke after a run-out. Where the bow is set on the string
//! the player sees at least the first stroke: if the plan starts too near the end of the hair for
//! it, the path starts as much farther off as that stroke needs and the place allows.

use serde::{Deserialize, Serialize};

use super::plan::Solution;
use super::problem::{End, Join, PASSED_MM, Piece, Problem};

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
    let meets = meets(problem, solution);
    let mut path = MarkedPath::default();
    let mut place = 0.0;
    let mut stroke = Stroke::default();
    for (k, piece) in problem.pieces.iter().enumerate() {
        let starts_stroke = k == 0 || piece.join != Join::Same;
        if starts_stroke {
            path.forget_below(NOTABLE_RUN_OUT_MM, stroke.missing_mm);
        }
        let set = k == 0 || !piece.join.stays();
        if set || meets[k] || (starts_stroke && stroke.missing_mm > NOTABLE_RUN_OUT_MM) {
            place = solution.start_mm[k];
            stroke.since = k;
            if set && !meets[k] {
                place = with_room(problem, k, place, solution.corridor_start[k]);
            }
        }
        if starts_stroke {
            (stroke.first, stroke.start_mm) = (k, place);
        }
        if starts_stroke || stroke.since == k {
            stroke.missing_mm = 0.0;
        }
        let goal = place + piece.direction.sign() * piece.wanted_travel_mm();
        let end = goal.clamp(problem.usable.0, problem.usable.1);
        let short_mm = (goal - end).abs();
        path.start_mm.push(place);
        path.end_mm.push(end);
        if short_mm > PASSED_MM {
            if stroke.missing_mm == 0.0 {
                path.run_outs.push(run_out(problem, solution, &stroke, (k, place, short_mm)));
            }
            stroke.missing_mm += short_mm;
        }
        place = end;
    }
    path.forget_below(NOTABLE_RUN_OUT_MM, stroke.missing_mm);
    path
}

/// The stroke that is being played.
#[derive(Default)]
struct Stroke {
    first: usize,
    start_mm: f64,
    /// The piece at whose start the path last met the plan.
    since: usize,
    /// What is missing of it since its hair ended, mm.
    missing_mm: f64,
}

/// For each boundary between pieces whether the path meets the plan there whatever it did before.
fn meets(problem: &Problem, solution: &Solution) -> Vec<bool> {
    let mut meets = vec![false; problem.pieces.len() + 1];
    let pins = problem.pins.iter().map(|pin| pin.piece + usize::from(pin.at == End::Finish));
    for boundary in pins.chain(solution.impossible.iter().map(|spot| spot.resumes)) {
        if let Some(meet) = meets.get_mut(boundary) {
            *meet = true;
        }
    }
    meets
}

/// The spot where the hair of a stroke ends: during this piece, which starts here and misses so much, mm.
fn run_out(
    problem: &Problem,
    solution: &Solution,
    stroke: &Stroke,
    (k, start_mm, short_mm): (usize, f64, f64),
) -> RunOut {
    let piece = &problem.pieces[k];
    let sign = piece.direction.sign();
    let seconds_in = piece.seconds * (1.0 - short_mm / piece.wanted_travel_mm()).clamp(0.0, 1.0);
    let crept_mm = stroke.start_mm - solution.start_mm[stroke.first];
    let fits = problem.is_long_enough(stroke_wants_mm(problem, stroke.first));
    let crept = stroke.since < stroke.first && fits && sign * crept_mm >= DRIFT_PART * short_mm;
    RunOut {
        piece: k,
        seconds_in,
        short_mm,
        short_seconds: piece.seconds - seconds_in,
        start_mm,
        drift: crept.then_some(Drift { since: stroke.since, mm: crept_mm }),
        at_tip: sign > 0.0,
    }
}

/// Hair that the stroke which starts with piece `first` wants, mm.
fn stroke_wants_mm(problem: &Problem, first: usize) -> f64 {
    let notes = &problem.pieces[first..];
    let same = notes[1..].iter().take_while(|piece| piece.join == Join::Same).count();
    notes[..=same].iter().map(Piece::wanted_travel_mm).sum()
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
    let wanted = stroke_wants_mm(problem, first);
    let (lo, hi) = problem.usable;
    let fits = if problem.pieces[first].direction.sign() > 0.0 {
        (lo, (hi - wanted).max(lo))
    } else {
        ((lo + wanted).min(hi), hi)
    };
    let goal = place.min(fits.1).max(fits.0);
    goal.min(allowed.1).max(allowed.0)
}
