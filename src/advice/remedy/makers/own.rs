//! What no mark asks for undone: hooks and retakes that were chosen to make the directions come right.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::{bowing::Reached, score::Direction};

/// So many strokes before the spot are looked at. Assumed.
const BEFORE: usize = 4;
/// Over a rest of at most this length a player goes on back and forth, s. Assumed.
const SHORT_REST_S: f64 = 0.6;

/// A hook that nobody wrote gone: the note in a bow of its own, or the bow before it the other way.
pub fn no_hooks(case: &Case) -> Vec<Proposal> {
    let first = case.notes(case.stroke.saturating_sub(BEFORE)).start;
    let last = case.notes(case.stroke).end;
    let hooked = (first..last).rev().filter(|&k| case.is_own_hook(k));
    hooked.flat_map(|k| undone(case, k)).collect()
}

fn undone(case: &Case, k: usize) -> Vec<Proposal> {
    let stroke = case.analysis().stroke_of(k);
    let (start, turned) = (case.notes(stroke).start, case.direction(stroke).turned());
    let bow = |note: usize, direction| [Correction::Bow(case.note(note).id(), direction)];
    if case.note(k).bow.is_none() {
        let words = format!("No hook at {}: {}, in a bow of its own", case.at(k), turned.bow_word());
        return vec![Proposal::new(Change::NoHook, words, bow(k, turned))];
    }
    // Its mark is printed: the bow before it is what may go the other way, or is lifted after.
    let again = case.note(k).bow.unwrap_or(turned.turned());
    let words = format!("Retake before {}, {}", case.at(k), again.bow_word());
    let lifted = Proposal::new(Change::Retake, words, [Correction::Retake(case.note(k).id(), again)]);
    let words = format!("Start the other way at {}: {}", case.at(start), turned.bow_word());
    let other_way =
        (case.note(start).bow.is_none()).then(|| Proposal::new(Change::Turn, words, bow(start, turned)));
    other_way.into_iter().chain([lifted]).collect()
}

/// No retake that nobody wrote: the bow goes on where it is. Over short rests a whole row of bows that all go
/// one way goes back and forth.
pub fn no_retakes(case: &Case) -> Vec<Proposal> {
    let near = case.stroke.saturating_sub(BEFORE)..=case.stroke;
    let lifted = near.rev().filter(|&stroke| is_own_retake(case, stroke));
    let on = |stroke: usize| {
        let (start, turned) = (case.notes(stroke).start, case.direction(stroke).turned());
        let words = format!("No retake before {}: go on, {}", case.at(start), turned.bow_word());
        Proposal::new(Change::NoRetake, words, [Correction::Bow(case.note(start).id(), turned)])
    };
    let single: Vec<Proposal> = lifted.map(on).collect();
    back_and_forth(case).into_iter().chain(single).collect()
}

/// A stroke goes the way of the one before it after a lift that takes its time from that one, and no mark asks for it.
fn is_own_retake(case: &Case, stroke: usize) -> bool {
    let bowed = case.analysis().bowed(case.notes(stroke).start);
    goes_again(case, stroke) && bowed.stolen_s > 0.0
}

/// A stroke goes the way of the one before it after a lift, unmarked.
fn goes_again(case: &Case, stroke: usize) -> bool {
    let start = case.notes(stroke).start;
    let note = case.note(start);
    let through_air = matches!(case.analysis().bowed(start).reached, Reached::Air(_));
    through_air
        && stroke > 0
        && case.direction(stroke) == case.direction(stroke - 1)
        && note.bow.is_none()
        && !note.retake
}

/// The row of strokes around this one that go one way over short rests, played back and forth from its first
/// stroke on, or from the one after it on.
fn back_and_forth(case: &Case) -> Vec<Proposal> {
    let rest_s = |stroke: usize| {
        let start = case.notes(stroke).start;
        let seconds = |at| case.analysis().seconds_at(at);
        seconds(case.note(start).onset) - seconds(case.note(start - 1).end())
    };
    let over_rest = |stroke: usize| {
        goes_again(case, stroke)
            && case.analysis().bowed(case.notes(stroke).start).stolen_s <= 0.0
            && (0.0..=SHORT_REST_S).contains(&rest_s(stroke))
    };
    let count = case.analysis().bowing.strokes.len();
    // The spot may be the first of the row, or the stroke behind it.
    let Some(within) = [case.stroke, case.stroke + 1, case.stroke.saturating_sub(1)]
        .into_iter()
        .find(|&stroke| stroke < count && over_rest(stroke))
    else {
        return Vec::new();
    };
    let first = (1..=within).rev().find(|&stroke| !over_rest(stroke)).unwrap_or(0);
    let end = (within..count).find(|&stroke| !over_rest(stroke)).unwrap_or(count);
    let head = |stroke: usize| case.notes(stroke).start;
    let row = |from: usize, direction: Direction| {
        let marks: Vec<Correction> = (from..end)
            .map(|stroke| {
                let even = (stroke - from).is_multiple_of(2);
                let way = if even { direction } else { direction.turned() };
                Correction::Bow(case.note(head(stroke)).id(), way)
            })
            .collect();
        let words = format!(
            "No lifts over the short rests: back and forth from {} on, {} first",
            case.at(head(from)),
            direction.bow_word()
        );
        Proposal::new(Change::NoRetake, words, marks)
    };
    // Over one rest alone it is a turn.
    if end - first <= 2 {
        return Vec::new();
    }
    let turned = case.direction(within).turned();
    let mut found = vec![row(first + 1, turned)];
    if case.note(head(first)).bow.is_none() {
        found.push(row(first, turned));
    }
    found
}
