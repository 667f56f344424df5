//! Where the hair ends for a player who plays at the wanted speeds and does not look ahead.
//!
//! Every player sees where the bow is now and then. A stroke runs out if the hair ends during it from
//! where the plan has the bow, at its start or at the start of one of the few strokes before it, the
//! strokes between played as marked; of these starts the worst counts. What takes longer to creep is
//! corrected without a thought. Each of these quantities changes smoothly with the tempo and with every
//! wanted length, so that a spot does not come and go by what happened long before it.

use std::ops::Range;

use serde::{Deserialize, Serialize};

use super::{
    plan::Solution,
    player::{Player, stroke_wants_mm},
    problem::{Join, Piece, Problem},
};
use crate::setup::Rules;

/// So many strokes are played on without a look at where the bow is; the way into a run-out begins no
/// earlier. Assumed: a figure of two strokes four times.
pub const UNSEEN: usize = 8;
/// Where the plan is bent for a run-out: in the stroke, in so many before it, in the one behind it. Assumed.
const NEAR: usize = 2;
/// A run-out is drift if the strokes before it make at least this part of what is missing. Assumed.
const DRIFT_PART: f64 = 0.5;
/// A bow of less than so many seconds is no trouble, however much the dynamic would like: it is drawn a little
/// slower, s. Assumed: players take a loud note of that length in one calm bow.
const CALM_BOW_S: f64 = 3.5;
/// In such a bow this part of its time is saved without a thought. Assumed.
const EASILY_SAVED: f64 = 0.1;
/// Leaving the wanted hair of a stroke by less is not felt, mm. Assumed.
const FELT_MM: f64 = 20.0;

/// A stroke during which the hair ends at the wanted speeds.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct RunOut {
    /// The piece during which it ends.
    pub piece: usize,
    /// After this much of its sounding time, s.
    pub seconds_in: f64,
    /// Hair missing to the end of the stroke, mm. Notes that stay where they are can still be played
    /// there.
    pub short_mm: f64,
    /// Time missing to the end of the stroke, s.
    pub short_seconds: f64,
    /// The piece at whose start the bow was where the plan has it: the first of the stroke, or of one of
    /// those before it.
    pub since: usize,
    /// Where each piece from there to the end of the stroke starts and ends, mm; the end of the hair where
    /// that comes first.
    pub path: Vec<(f64, f64)>,
    /// How far the strokes before this one carried the bow from the plan, mm, toward the tip. Set if
    /// they make it run out.
    pub drift_mm: Option<f64>,
    /// The stroke wants more hair than there is, wherever it starts.
    pub longer_than_bow: bool,
    /// How long the stroke lasts, s.
    pub stroke_s: f64,
    /// By how much the plan has to leave the wanted hair of a stroke near it: the greatest ratio, of
    /// the larger to the smaller.
    pub bend: f64,
    /// The tip end, or else the frog end.
    pub at_tip: bool,
}

impl RunOut {
    /// Where the stroke starts that runs out, mm; `first` is its first piece.
    pub fn start_mm(&self, first: usize) -> f64 {
        self.path[first - self.since].0
    }

    /// A player feels it: much is missing, of a stroke longer than the bow or where the plan has to bend.
    pub fn is_felt(&self, rules: &Rules) -> bool {
        let bends =
            if self.longer_than_bow { self.stroke_s >= CALM_BOW_S } else { self.bend >= rules.felt_ratio };
        let saved = self.stroke_s >= CALM_BOW_S && self.short_seconds < EASILY_SAVED * self.stroke_s;
        bends && !saved && rules.is_missed(self.short_mm, self.short_seconds)
    }
}

/// The strokes of a problem that run out at the wanted speeds, in order, however little they miss.
///
/// Expects the solution of this very problem.
pub fn run_outs(problem: &Problem, solution: &Solution) -> Vec<RunOut> {
    let strokes = strokes(problem);
    let player = Player::new(problem, solution);
    // Of each stroke: hair missing if it starts where the plan does, and the worst start with what is
    // missing from there.
    let mut alone = vec![0.0; strokes.len()];
    let mut worst = vec![(0, 0.0); strokes.len()];
    for start in 0..strokes.len() {
        let mut place = player.start_mm(strokes[start].start);
        for stroke in start..(start + UNSEEN + 1).min(strokes.len()) {
            // Where the bow is set on the string the player sees it.
            if stroke > start && player.sets(strokes[stroke].start) {
                break;
            }
            let mut short_mm = 0.0;
            place = strokes[stroke].clone().fold(place, |place, k| {
                let played = player.played(k, place);
                short_mm += played.missing_mm();
                played.end_mm
            });
            if stroke == start {
                alone[stroke] = short_mm;
            }
            // Of equal starts the earlier, but its own before all.
            if short_mm > worst[stroke].1 || stroke == start && short_mm == worst[stroke].1 {
                worst[stroke] = (start, short_mm);
            }
        }
    }
    let bends: Vec<f64> = strokes.iter().map(|notes| bend(problem, solution, notes)).collect();
    let unplanned = solution.unplanned();
    let run_out = |stroke: usize| {
        let notes = strokes[stroke].clone();
        let (start, short_mm) = worst[stroke];
        if short_mm <= 0.0 || unplanned[notes.clone()].contains(&true) {
            return None;
        }
        let since = strokes[start].start;
        let (path, missing) = told(problem, &player, since, &notes);
        // A stroke longer than the whole bow is to blame itself.
        let longer_than_bow = !problem.is_long_enough(stroke_wants_mm(problem, notes.start));
        let drifts = !longer_than_bow && short_mm - alone[stroke] >= DRIFT_PART * short_mm;
        let drift_mm = path[notes.start - since].0 - solution.start_mm[notes.start];
        // Not across a place where the bow is set.
        let set = |before: &usize| player.sets(strokes[before + 1].start);
        let near = (stroke.saturating_sub(NEAR)..stroke).rev().take_while(|before| !set(before)).count();
        let near = stroke - near..(stroke + 2).min(strokes.len());
        Some(RunOut {
            piece: missing.piece,
            seconds_in: missing.seconds_in,
            short_mm,
            short_seconds: missing.short_seconds,
            since,
            path,
            drift_mm: drifts.then_some(drift_mm),
            longer_than_bow,
            stroke_s: problem.pieces[notes.clone()].iter().map(|piece| piece.seconds).sum(),
            bend: bends[near].iter().copied().fold(1.0, f64::max),
            at_tip: problem.pieces[missing.piece].direction.sign() > 0.0,
        })
    };
    (0..strokes.len()).filter_map(run_out).collect()
}

/// What is missing of a stroke: the piece during which the hair ends, after how much of it, and the time
/// that is left, s.
struct Missing {
    piece: usize,
    seconds_in: f64,
    short_seconds: f64,
}

/// The path of a player from the plan at the start of piece `since` to the end of a stroke that runs out,
/// and what is missing of that.
fn told(
    problem: &Problem,
    player: &Player,
    since: usize,
    notes: &Range<usize>,
) -> (Vec<(f64, f64)>, Missing) {
    let mut place = player.start_mm(since);
    let mut missing: Option<Missing> = None;
    let path = (since..notes.end)
        .map(|k| {
            let played = player.played(k, place);
            place = played.end_mm;
            if notes.contains(&k) && played.missing_mm() > 0.0 {
                let piece = &problem.pieces[k];
                let left = (played.missing_mm() / piece.wanted_travel_mm()).clamp(0.0, 1.0);
                let seconds = piece.seconds * left;
                let first = Missing { piece: k, seconds_in: piece.seconds - seconds, short_seconds: 0.0 };
                missing.get_or_insert(first).short_seconds += seconds;
            }
            (played.start_mm, played.end_mm)
        })
        .collect();
    let last = notes.end - 1;
    (path, missing.unwrap_or(Missing { piece: last, seconds_in: 0.0, short_seconds: 0.0 }))
}

/// The strokes, as ranges of pieces.
fn strokes(problem: &Problem) -> Vec<Range<usize>> {
    let mut first = 0;
    let strokes = problem.pieces.chunk_by(|_, next| next.join == Join::Same);
    strokes
        .map(|notes| {
            let range = first..first + notes.len();
            first = range.end;
            range
        })
        .collect()
}

/// By how much a plan leaves the wanted hair of a stroke: the ratio of the larger to the smaller.
fn bend(problem: &Problem, solution: &Solution, notes: &Range<usize>) -> f64 {
    let wanted: f64 = problem.pieces[notes.clone()].iter().map(Piece::wanted_travel_mm).sum();
    let used: f64 = notes.clone().map(|k| (solution.end_mm[k] - solution.start_mm[k]).abs()).sum();
    let felt = (used - wanted).abs() >= FELT_MM && used > 0.0;
    if felt { (used / wanted).max(wanted / used) } else { 1.0 }
}
