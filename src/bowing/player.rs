//! A player who plays at the wanted speeds and does not look ahead.
//!
//! Where the bow is set on the string, or comes out of a tremolo or a run of fast notes, the player sees at
//! least the next stroke: if the plan starts too near the end of the hair for it, the bow is brought as much
//! farther off as that stroke needs and the place allows.

use super::plan::Solution;
use super::problem::{End, Join, PASSED_MM, Piece, Problem};

/// Who plays at the wanted speeds.
pub(super) struct Player<'a> {
    problem: &'a Problem,
    solution: &'a Solution,
    /// For each boundary between pieces whether the bow is where the plan has it whatever came before: at
    /// pins, and after what cannot be played.
    meets: Vec<bool>,
}

/// A piece as it is played.
pub(super) struct Played {
    pub start_mm: f64,
    /// Where it ends, or the hair.
    pub end_mm: f64,
    /// Where it would end if there were hair.
    goal_mm: f64,
}

impl Played {
    /// Hair missing, mm; none where it is less than counts as passed.
    pub fn missing_mm(&self) -> f64 {
        let missing = (self.goal_mm - self.end_mm).abs();
        if missing > PASSED_MM { missing } else { 0.0 }
    }
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

    /// The bow is set on the string before a piece, is brought there in the notes before, or meets the plan
    /// there.
    pub fn sets(&self, k: usize) -> bool {
        self.is_free(k) || self.meets[k]
    }

    /// The bow is set on the string before a piece, or brought there in the notes before.
    fn is_free(&self, k: usize) -> bool {
        let pieces = &self.problem.pieces;
        k == 0 || !pieces[k].join.stays() || pieces[k].join != Join::Same && pieces[k - 1].carries
    }

    /// Where a piece starts that does not go on from the one before it, mm: on the plan, or with room
    /// for its stroke where the bow is set.
    pub fn start_mm(&self, k: usize) -> f64 {
        let place = self.solution.start_mm[k];
        if self.is_free(k) && !self.meets[k] { self.with_room(k, place) } else { place }
    }

    /// A piece at the wanted speed by a player whose bow is at a place.
    pub fn played(&self, k: usize, place: f64) -> Played {
        let piece = &self.problem.pieces[k];
        let start_mm = if self.meets[k] { self.start_mm(k) } else { place };
        let goal_mm = start_mm + piece.direction.sign() * piece.wanted_travel_mm();
        Played { start_mm, end_mm: goal_mm.clamp(self.problem.usable.0, self.problem.usable.1), goal_mm }
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
