//! Places on the bow, fixed and set free.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::{
    bowing::{Plan, place_word, there},
    score::{Direction, sentence_case},
};

/// A place is fixed this far inside its limit, share of the hair. Assumed.
const INSIDE: f64 = 0.01;
/// Nearer than this to where the bow is already is no other place, mm. Assumed.
const SAME_MM: f64 = 20.0;
/// So many strokes before the spot a place is looked for at which the bow can be set anywhere. Assumed.
const BEFORE: usize = 16;
/// At most this many such places are tried. Assumed.
const MOST_STARTS: usize = 2;
/// A heavy note is set no farther out, share of the hair. Assumed.
const MIDDLE: f64 = 0.5;
/// A chord is set about here, share of the hair. Assumed: within the lower half, with bow left for the top notes.
const CHORD_SHARE: f64 = 0.35;

/// Another place where the bow is set or brought anyway, another place where the strokes begin that lead here, the
/// planned place as a checkpoint, pins set free.
pub fn places(case: &Case) -> Vec<Proposal> {
    let starts = starts(case, case.start_off_mm());
    starts.into_iter().chain(elsewhere(case)).chain(checkpoint(case)).chain(free_places(case)).collect()
}

/// The bow set or brought elsewhere, so many millimetres nearer the tip, at the nearest strokes before which it is
/// lifted or carried along anyway.
fn starts(case: &Case, off_mm: f64) -> Vec<Proposal> {
    let strokes = (case.stroke.saturating_sub(BEFORE)..=case.stroke).rev();
    let free = strokes.filter(|&stroke| !case.stays(stroke) || is_brought(case, stroke));
    let mut found = Vec::new();
    for stroke in free.take(MOST_STARTS) {
        let first = case.notes(stroke).start;
        let now = case.analysis().plan.solution.start_mm[first];
        // What goes the other way moves with it.
        if let Some(mm) = within(case, first, now + off_mm)
            && (mm - now).abs() >= SAME_MM
            && !is_too_far_out(case, first, mm)
        {
            let words = format!("{}{}", way_there(case, stroke, mm), case.at(first));
            found.push(Proposal::new(Change::Start, words, fix(case, first, mm)));
        }
    }
    found
}

/// "Set the bow at the frog at ", "In the tremolo before, creep toward the frog, to be about the middle at ".
fn way_there(case: &Case, stroke: usize, mm: f64) -> String {
    let first = case.notes(stroke).start;
    let there = there(mm / hair_mm(case));
    let Some(before) = first.checked_sub(1) else { return format!("Begin {there} at ") };
    if !case.stays(stroke) {
        let rest = case.note(before).end() < case.note(first).onset;
        let lift = if rest { "Lift in the rest and set" } else { "Lift and set" };
        return format!("{lift} the bow {there} at ");
    }
    let end = if mm < case.analysis().plan.solution.start_mm[before] { "frog" } else { "tip" };
    let what = if case.note(before).tremolo.is_some() { "tremolo" } else { "quick notes" };
    format!("Creep toward the {end} in the {what} before, to be {there} at ")
}

/// Where the strokes begin that make this one run out, or that get what it lacks: nearer the end from which it goes.
fn elsewhere(case: &Case) -> Option<Proposal> {
    let stroke = case.met();
    let off_mm = case.start_off_mm();
    let first = case.notes(stroke).start;
    let now = case.analysis().plan.solution.start_mm[first];
    let mm = within(case, first, now + off_mm)?;
    // Where the bow is set it is set elsewhere.
    let same = (mm - now).abs() < SAME_MM;
    if !case.stays(stroke) || is_brought(case, stroke) || same || is_too_far_out(case, first, mm) {
        return None;
    }
    // Toward the frog within the upper half is toward the middle.
    let toward = match (mm < now, mm < MIDDLE * hair_mm(case)) {
        (true, true) => "frog",
        (false, false) => "tip",
        _ => "middle",
    };
    let words = format!("Be nearer the {toward} at {}: {}", case.at(first), there(mm / hair_mm(case)));
    Some(Proposal::new(Change::Place, words, fix(case, first, mm)))
}

/// The planned place of the stroke, no farther out than the middle for what is struck, with the strokes that bring the
/// bow there; none where it has one, or cannot be so near.
fn checkpoint(case: &Case) -> Option<Proposal> {
    let first = case.notes(case.stroke).start;
    if case.pinned().contains(&first) {
        return None;
    }
    let planned = case.analysis().plan.solution.start_mm[first];
    let most = if case.is_heavy(first) { MIDDLE * hair_mm(case) } else { f64::INFINITY };
    let mm = within(case, first, planned.min(most)).filter(|mm| *mm <= most)?;
    if !case.stays(case.stroke) || is_brought(case, case.stroke) {
        let words = format!("{}{}", way_there(case, case.stroke, mm), case.at(first));
        return Some(Proposal::new(Change::Start, words, fix(case, first, mm)));
    }
    let be = format!("be {} at {}", there(mm / hair_mm(case)), case.at(first));
    let words = brought_by(case).map_or_else(|| sentence_case(&be), |strokes| format!("{strokes}, to {be}"));
    Some(Proposal::new(Change::Place, words, fix(case, first, mm)))
}

/// "Less bow in the up-bows from bar 46 on", "More bow in the down-bows from bar 46 on": what the plan does in the
/// strokes that lead here, the more of the two.
fn brought_by(case: &Case) -> Option<String> {
    let since = case.met().max(case.chain_start());
    let more = |direction: Direction| -> f64 {
        let strokes = (since..case.stroke).filter(|&stroke| case.direction(stroke) == direction);
        strokes.map(|stroke| case.hair(stroke)).map(|(wanted, planned)| planned - wanted).sum()
    };
    let ways = [Direction::Down, Direction::Up].map(|direction| (direction, more(direction)));
    let (direction, mm) = ways.into_iter().max_by(|a, b| a.1.abs().total_cmp(&b.1.abs()))?;
    let from = case.at(case.notes(since).start);
    let what = if mm > 0.0 { "More" } else { "Less" };
    (mm.abs() >= SAME_MM).then(|| format!("{what} bow in the {}s from {from} on", direction.bow_word()))
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

/// So near the frog that a chord may be taken there, set at the chord or where the bow is lifted before it.
pub fn near_for_chord(case: &Case) -> Vec<Proposal> {
    let now = case.analysis().plan.solution.start_mm[case.piece];
    let starts = starts(case, CHORD_SHARE * hair_mm(case) - now);
    starts
        .into_iter()
        .chain(nearer(case, CHORD_SHARE))
        .chain(nearer(case, case.rules().chord_limit - INSIDE))
        .collect()
}

/// So near the frog that the hand has time for the crossing: its way grows with the distance from
/// the frog.
pub fn near_for_crossing(case: &Case) -> Vec<Proposal> {
    let analysis = case.analysis();
    let into = analysis.arm_path.crossings.iter().find(|crossing| crossing.into == case.piece);
    let speed = into.map(|crossing| crossing.hand_mm_per_s()).filter(|speed| *speed > 0.0);
    let now = analysis.plan.solution.start_mm[case.piece] / hair_mm(case);
    let near = |speed: f64| nearer(case, now * (case.rules().hand_mm_per_s / speed) - INSIDE);
    speed.and_then(near).into_iter().collect()
}

/// The note of the finding as near to this share of the hair as the strokes around it allow; none where that is the
/// part of the bow it is in already.
fn nearer(case: &Case, share: f64) -> Option<Proposal> {
    let now = case.analysis().plan.solution.start_mm[case.piece] / hair_mm(case);
    let share = within(case, case.piece, share * hair_mm(case))? / hair_mm(case);
    if place_word(share) == place_word(now) {
        return None;
    }
    let first = case.notes(case.stroke).start;
    let set = case.piece == first && (!case.stays(case.stroke) || is_brought(case, case.stroke));
    let mm = share * hair_mm(case);
    let words = match set {
        true => format!("{}{}", way_there(case, case.stroke, mm), case.at(case.piece)),
        false => format!("Less bow before it, to be {} at {}", there(share), case.at(case.piece)),
    };
    let change = if set { Change::Start } else { Change::Place };
    Some(Proposal::new(change, words, fix(case, case.piece, mm)))
}

/// What is struck loudly, or on two strings, is not set beyond the middle.
fn is_too_far_out(case: &Case, piece: usize, mm: f64) -> bool {
    case.is_heavy(piece) && mm > MIDDLE * hair_mm(case) && mm > case.analysis().plan.solution.start_mm[piece]
}

/// A place as near as the strokes around a bowed note allow; a place fixed there may be fixed anywhere.
fn within(case: &Case, piece: usize, mm: f64) -> Option<f64> {
    let Plan { solution, problem, .. } = &*case.analysis().plan;
    let fixed = case.pinned().contains(&piece);
    let (lo, hi) = if fixed { problem.usable } else { solution.corridor_start[piece] };
    (lo <= hi && mm.is_finite()).then(|| mm.clamp(lo, hi))
}

fn fix(case: &Case, piece: usize, mm: f64) -> [Correction; 1] {
    [Correction::Place(case.note(piece).id(), Some((mm / hair_mm(case)).clamp(0.0, 1.0)))]
}

fn hair_mm(case: &Case) -> f64 {
    case.analysis().plan.problem.hair_mm.max(1.0)
}
