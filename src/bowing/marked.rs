//! The marked path: the passage played at the wanted speeds with no foresight.
//!
//! It shows drift, the creeping toward tip or frog in uneven rhythms. It meets the plan again at
//! every lift, at every pin, and at the stroke after one whose hair has ended. Where the bow is set on
//! the string the player sees at least the first stroke: if the plan starts too near the end of the
//! hair for it, the path starts as much farther off as that stroke needs and the place allows.

use serde::{Deserialize, Serialize};

use super::plan::Solution;
use super::problem::{End, Join, Piece, Problem};

/// A stroke that misses less stays at the end of the hair, and the path goes on from there, mm.
/// Assumed: nobody sees the hair end to a few millimetres.
const NOTABLE_MM: f64 = 5.0;

/// The passage as it would be played at the wanted speeds.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
pub struct MarkedPath {
    /// Where each piece starts, mm.
    pub start_mm: Vec<f64>,
    /// Where each piece ends, mm; the end of the hair where that comes first. The next piece starts
    /// elsewhere where the path meets the plan again.
    pub end_mm: Vec<f64>,
}

/// Plays a problem as marked, from where its plan starts.
///
/// Expects the solution of this very problem.
pub fn marked_path(problem: &Problem, solution: &Solution) -> MarkedPath {
    let player = Player::new(problem, solution);
    let mut path = MarkedPath::default();
    let (mut place, mut missing_mm) = (0.0, 0.0);
    for (k, piece) in problem.pieces.iter().enumerate() {
        if k == 0 || piece.join != Join::Same {
            if k == 0 || player.sets(k) || missing_mm > NOTABLE_MM {
                place = player.start_mm(k);
            }
            missing_mm = 0.0;
        } else if player.meets[k] {
            place = player.start_mm(k);
        }
        let (end, short_mm) = player.played(k, place);
        path.start_mm.push(place);
        path.end_mm.push(end);
        missing_mm += short_mm;
        place = end;
    }
    path
}

/// Who plays at the wanted speeds.
pub(super) struct Player<'a> {
    problem: &'a Problem,
    solution: &'a Solution,
    /// For each boundary between pieces whether the bow is where the plan has it whatever came before: at
    /// pins, and after what cannot be played.
    pub meets: Vec<bool>,
}

impl<'a> Player<'a> {
    pub fn new(problem: &'a Problem, solution: &'a Solution) -> Self {
        let mut meets = vec![false; problem.pieces.len() + 1];
        let pins = problem.pins.iter().map(|pin| pin.piece + usize::from(pin.at == End::Finish));
        for boundary in pins.chain(solution.impossible.iter().map(|spot| spot.resumes)) {
            if let Some(meet) = meets.get_mut(boundary) {
                *meet = true;
            }
        }
        Self { problem, solution, meets }
    }

    /// The bow is set on the string before a piece, or meets the plan there.
    pub fn sets(&self, k: usize) -> bool {
        k == 0 || !self.problem.pieces[k].join.stays() || self.meets[k]
    }

    /// Where a piece starts that does not go on from the one before it, mm: on the plan, or with room
    /// for its stroke where the bow is set.
    pub fn start_mm(&self, k: usize) -> f64 {
        let place = self.solution.start_mm[k];
        let set = k == 0 || !self.problem.pieces[k].join.stays();
        if set && !self.meets[k] { self.with_room(k, place) } else { place }
    }

    /// Where a piece ends that starts at a place, and how much of its hair is missing, mm.
    pub fn played(&self, k: usize, place: f64) -> (f64, f64) {
        let piece = &self.problem.pieces[k];
        let goal = place + piece.direction.sign() * piece.wanted_travel_mm();
        let end = goal.clamp(self.problem.usable.0, self.problem.usable.1);
        (end, (goal - end).abs())
    }

    /// The place nearest to `place` that the corridor allows and from which the stroke that starts with
    /// piece `first` has its wanted hair; as near to that as there is.
    fn with_room(&self, first: usize, place: f64) -> f64 {
        let wanted = stroke_wants_mm(self.problem, first);
        let (lo, hi) = self.problem.usable;
        let fits = if self.problem.pieces[first].direction.sign() > 0.0 {
            (lo, (hi - wanted).max(lo))
        } else {
            ((lo + wanted).min(hi), hi)
        };
        let allowed = self.solution.corridor_start[first];
        let goal = place.min(fits.1).max(fits.0);
        goal.min(allowed.1).max(allowed.0)
    }
}

/// Hair that the stroke which starts with piece `first` wants, mm.
pub(super) fn stroke_wants_mm(problem: &Problem, first: usize) -> f64 {
    let notes = &problem.pieces[first..];
    let same = notes[1..].iter().take_while(|piece| piece.join == Join::Same).count();
    notes[..=same].iter().map(Piece::wanted_travel_mm).sum()
}
