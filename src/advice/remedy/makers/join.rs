//! Two strokes in one bow.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
    words::{note_at, span},
};
use crate::score::SameBow;

/// So many strokes before the spot are looked through for two light notes to hook. Assumed.
const BEFORE: usize = 8;
/// At most this many such places are tried. Assumed.
const MOST_LIGHT: usize = 2;
/// A longer note is no light one, s. Assumed.
const LIGHT_S: f64 = 0.4;

/// Two strokes in one bow: this one with its neighbours, the one before with its own; and two light notes that
/// lead here, so that this stroke comes the other way.
pub fn joins(case: &Case) -> Vec<Proposal> {
    let seams = [Some(case.stroke), case.next(), case.stroke.checked_sub(1)];
    let seams = seams.into_iter().flatten().filter(|&stroke| stroke > 0 && case.stays(stroke));
    let mut found: Vec<Proposal> = seams.flat_map(|stroke| joined(case, stroke)).collect();
    let before =
        case.stroke.saturating_sub(BEFORE).max(case.chain_start() + 1)..case.stroke.saturating_sub(1);
    let light = before.rev().filter(|&stroke| is_light(case, stroke - 1) && is_light(case, stroke));
    found.extend(light.filter(|&stroke| !case.is_on_beat(case.notes(stroke).start)).take(MOST_LIGHT).map(
        |stroke| {
            let first = case.note(case.notes(stroke).start);
            let at = note_at(&case.lesson().score, first.onset);
            let hook = [Correction::Join(first.id(), SameBow::Hooked)];
            Proposal::new(Change::Hook, format!("Hook {at} to the one before it"), hook)
        },
    ));
    found
}

/// One short note without weight.
fn is_light(case: &Case, stroke: usize) -> bool {
    let notes = case.notes(stroke);
    let short = case.analysis().piece(notes.start).seconds <= LIGHT_S;
    notes.len() == 1 && short && case.note(notes.start).grace.is_none() && case.can_be_light(stroke)
}

/// A stroke in one bow with the one before it: hooked, portato, slurred. An accent needs the stop of the hook.
fn joined(case: &Case, stroke: usize) -> Vec<Proposal> {
    let score = &case.lesson().score;
    let (before, here) = (case.notes(stroke - 1), case.notes(stroke));
    let (from, first, to) = (case.note(before.start), case.note(here.start), case.note(here.end - 1));
    let at = note_at(score, first.onset);
    let join = |how| [Correction::Join(first.id(), how)];
    let hook = Proposal::new(Change::Hook, format!("Hook {at} to the one before it"), join(SameBow::Hooked));
    // What is struck out of the bow before it is not struck.
    if case.is_struck(here.start) {
        return Vec::new();
    }
    if case.is_accented(here.start) {
        return vec![hook];
    }
    vec![
        hook,
        Proposal::new(
            Change::Portato,
            format!("Portato: {at} in the same bow as the one before it"),
            join(SameBow::Portato),
        ),
        Proposal::new(
            Change::Slur,
            format!("One slur {}", span(score, from.onset, to.onset)),
            [Correction::Slur(from.id(), to.id())],
        ),
    ]
}
