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
    marked::{Player, stroke_wants_mm},
    plan::Solution,
    problem::{Join, PASSED_MM, Piece, Problem},
};
use crate::setup::Rules;

/// So many strokes are played on without a look at where the bow is. Assumed: a figure of two strokes
/// four times.
const UNSEEN: usize = 8;
/// Where the plan is bent for a run-out: in the stroke, in so many before it, in the one behind it. Assumed.
const NEAR: usize = 2;
/// A run-out is drift if the strokes before it make at least this part of what is missing. Assumed.
const DRIFT_PART: f64 = 0.5;
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
    /// Where the stroke started, mm.
    pub start_mm: f64,
    /// Set if strokes before this one built it up.
    pub drift: Option<Drift>,
    /// The stroke wants more hair than there is, wherever it starts.
    pub longer_than_bow: bool,
    /// By how much the plan has to leave the wanted hair of a stroke near it: the greatest ratio, of
    /// the larger to the smaller.
    pub bend: f64,
    /// The tip end, or else the frog end.
    pub at_tip: bool,
}

impl RunOut {
    /// A player feels it: much is missing, of a stroke longer than the bow or where the plan has to bend.
    pub fn is_felt(&self, rules: &Rules) -> bool {
        let bends = self.longer_than_bow || self.bend >= rules.felt_ratio;
        bends && rules.is_missed(self.short_mm, self.short_seconds)
    }
}

/// How far strokes carry the bow from the plan.
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Drift {
    /// The piece at whose start the bow was where the plan has it.
    pub since: usize,
    /// From the plan to the bow at the start of the stroke that runs out, mm, toward the tip.
    pub mm: f64,
}

/// The strokes of a problem that run out at the wanted speeds, in order, however little they miss.
///
/// Expects the solution of this very problem.
pub fn run_outs(problem: &Problem, solution: &Solution) -> Vec<RunOut> {
    let strokes = strokes(problem);
    let bends: Vec<f64> = strokes.iter().map(|notes| bend(problem, solution, notes)).collect();
    let unplanned = solution.unplanned();
    let player = Player::new(problem, solution);
    let run_out = |stroke: usize| {
        let notes = strokes[stroke].clone();
        if unplanned[notes.clone()].contains(&true) {
            return None;
        }
        let alone = played(problem, &player, notes.start, &notes);
        // Back to where the bow was set on the string.
        let unseen = |strokes_back: usize| {
            let earlier = (stroke.saturating_sub(strokes_back)..stroke).rev();
            earlier.take_while(|&earlier| !player.sets(strokes[earlier + 1].start))
        };
        let worst = unseen(UNSEEN)
            .map(|earlier| (earlier, played(problem, &player, strokes[earlier].start, &notes)))
            .filter(|(_, worst)| worst.short_mm > alone.short_mm)
            .max_by(|a, b| a.1.short_mm.total_cmp(&b.1.short_mm));
        // A stroke longer than the whole bow is to blame itself.
        let longer_than_bow = !problem.is_long_enough(stroke_wants_mm(problem, notes.start));
        let drifts = |worst: &Played| worst.short_mm - alone.short_mm >= DRIFT_PART * worst.short_mm;
        let since =
            worst.as_ref().filter(|(_, worst)| !longer_than_bow && drifts(worst)).map(|(since, _)| *since);
        let played = worst.map_or(alone, |(_, worst)| worst);
        let (piece, seconds_in) = played.ends?;
        let near = unseen(NEAR).last().unwrap_or(stroke)..(stroke + 2).min(strokes.len());
        let drift = |since: usize| Drift {
            since: strokes[since].start,
            mm: played.start_mm - solution.start_mm[notes.start],
        };
        Some(RunOut {
            piece,
            seconds_in,
            short_mm: played.short_mm,
            short_seconds: played.short_seconds,
            start_mm: played.start_mm,
            drift: since.map(drift),
            longer_than_bow,
            bend: bends[near].iter().copied().fold(1.0, f64::max),
            at_tip: problem.pieces[piece].direction.sign() > 0.0,
        })
    };
    (0..strokes.len()).filter_map(run_out).collect()
}

/// A stroke as it was played.
struct Played {
    start_mm: f64,
    /// The piece during which the hair ends, and after how much of it, s.
    ends: Option<(usize, f64)>,
    short_mm: f64,
    short_seconds: f64,
}

/// A stroke at the wanted speeds by a player who starts with piece `from`, in it or before it.
fn played(problem: &Problem, player: &Player, from: usize, notes: &Range<usize>) -> Played {
    let mut place = player.start_mm(from);
    let mut stroke = Played { start_mm: place, ends: None, short_mm: 0.0, short_seconds: 0.0 };
    for k in from..notes.end {
        if player.meets[k] {
            place = player.start_mm(k);
        }
        if k == notes.start {
            stroke.start_mm = place;
        }
        let (end, short_mm) = player.played(k, place);
        if k >= notes.start && short_mm > PASSED_MM {
            let piece = &problem.pieces[k];
            let missing_s = piece.seconds * (short_mm / piece.wanted_travel_mm()).clamp(0.0, 1.0);
            stroke.ends = stroke.ends.or(Some((k, piece.seconds - missing_s)));
            stroke.short_mm += short_mm;
            stroke.short_seconds += missing_s;
        }
        place = end;
    }
    stroke
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
