//! Places on the bow, fixed and set free.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::{
    bowing::{Plan, there},
    score::Direction,
};

/// A place is fixed this far inside its limit, share of the hair. Assumed.
const INSIDE: f64 = 0.01;

/// Another starting place, the planned place as a checkpoint, pins set free.
pub fn places(case: &Case) -> Vec<Proposal> {
    let Plan { solution, problem, .. } = &*case.analysis().plan;
    let first = case.notes(case.stroke).start;
    let start = case.notes(case.met()).start;
    let fix = |k: usize, mm: f64| {
        [Correction::Place(case.note(k).id(), Some((mm / problem.hair_mm).clamp(0.0, 1.0)))]
    };
    let missing = case.finding.short_mm;
    // Back from the end at which the hair is missing.
    let toward_frog = case.direction(case.stroke) == Direction::Down;
    let (lo, hi) = solution.corridor_start[start];
    let other = (solution.start_mm[start] + if toward_frog { -missing } else { missing }).clamp(lo, hi);
    let mut found = Vec::new();
    if missing > 0.0 && (other - solution.start_mm[start]).abs() > 1.0 {
        let end = if toward_frog { "frog" } else { "tip" };
        // Where the bow is set on the string it may be set anywhere.
        let (change, what) =
            if case.stays(case.met()) { (Change::Place, "Be") } else { (Change::Start, "Start") };
        let there = there(other / problem.hair_mm);
        let words = format!("{what} nearer the {end} at {}: {there}", case.at(start));
        found.push(Proposal::new(change, words, fix(start, other)));
    }
    if !case.pinned().contains(&first) {
        let planned = solution.start_mm[first];
        let words = format!("{} at {}", arrive(case, planned), case.at(first));
        let set = !case.stays(case.stroke) || is_brought(case, case.stroke);
        let change = if set { Change::Start } else { Change::Place };
        found.push(Proposal::new(change, words, fix(first, planned)));
    }
    found.extend(free_places(case));
    found
}

/// "Have the bow near the tip", "Set the bow near the tip", "Creep toward the tip in the notes before, to be there".
fn arrive(case: &Case, mm: f64) -> String {
    let there = there(mm / hair_mm(case).max(1.0));
    if !case.stays(case.stroke) {
        format!("Set the bow {there}")
    } else if is_brought(case, case.stroke) {
        format!("Creep in the quick notes before, to be {there}")
    } else {
        format!("Have the bow {there}")
    }
}

/// The notes before a stroke bring the bow wherever it is wanted.
fn is_brought(case: &Case, stroke: usize) -> bool {
    let first = case.notes(stroke).start;
    first.checked_sub(1).is_some_and(|before| case.analysis().piece(before).carries)
}

/// Pins set free: those on this stroke, the nearest before it and after it.
pub fn free_places(case: &Case) -> Vec<Proposal> {
    let here = case.notes(case.stroke);
    let pinned = case.pinned();
    let before = pinned.range(..here.start).next_back();
    let after = pinned.range(here.end..).next();
    let free = |&k: &usize| {
        let words = format!("Free the place fixed at {}", case.at(k));
        Proposal::new(Change::FreePlace, words, [Correction::Place(case.note(k).id(), None)])
    };
    pinned.range(here).chain(before).chain(after).map(free).collect()
}

/// So near the frog that a chord may be taken there.
pub fn near_for_chord(case: &Case) -> Vec<Proposal> {
    from_share(case, case.rules().chord_limit - INSIDE)
}

/// So near the frog that the hand has time for the crossing: its way grows with the distance from
/// the frog.
pub fn near_for_crossing(case: &Case) -> Vec<Proposal> {
    let analysis = case.analysis();
    let into = analysis.arm_path.crossings.iter().find(|crossing| crossing.into == case.piece);
    let speed = into.map(|crossing| crossing.hand_mm_per_s()).filter(|speed| *speed > 0.0);
    let now = analysis.plan.solution.start_mm[case.piece] / hair_mm(case).max(1.0);
    let near = |speed: f64| from_share(case, now * (case.rules().hand_mm_per_s / speed) - INSIDE);
    speed.map(near).unwrap_or_default()
}

/// The note of the finding at this share of the hair.
fn from_share(case: &Case, share: f64) -> Vec<Proposal> {
    start_at(case, case.piece, share * hair_mm(case).max(1.0))
}

/// A note as near to this place as the strokes around it allow.
fn start_at(case: &Case, piece: usize, mm: f64) -> Vec<Proposal> {
    let Plan { solution, problem, .. } = &*case.analysis().plan;
    // A place fixed there may be fixed elsewhere.
    let fixed = case.pinned().contains(&piece);
    let (lo, hi) = if fixed { problem.usable } else { solution.corridor_start[piece] };
    if !(lo <= hi && mm.is_finite()) {
        return Vec::new();
    }
    let mm = mm.clamp(lo, hi);
    let share = (mm / problem.hair_mm).clamp(0.0, 1.0);
    let words = format!("Have the bow {} at {}", there(share), case.at(piece));
    vec![Proposal::new(Change::Place, words, [Correction::Place(case.note(piece).id(), Some(share))])]
}

fn hair_mm(case: &Case) -> f64 {
    case.analysis().plan.problem.hair_mm
}
