//! Two strokes in one bow.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
    words::{note_at, span},
};
use crate::score::SameBow;

/// Two strokes in one bow: this one with its neighbours, and the one before with its own.
pub fn joins(case: &Case) -> Vec<Proposal> {
    let seams = [Some(case.stroke), case.next(), case.stroke.checked_sub(1)];
    let seams = seams.into_iter().flatten().filter(|&stroke| stroke > 0 && case.stays(stroke));
    seams.flat_map(|stroke| joined(case, stroke)).collect()
}

/// A stroke in one bow with the one before it: hooked, portato, slurred. An accent needs the stop of the hook.
fn joined(case: &Case, stroke: usize) -> Vec<Proposal> {
    let score = &case.lesson().score;
    let (before, here) = (case.notes(stroke - 1), case.notes(stroke));
    let (from, first, to) = (case.note(before.start), case.note(here.start), case.note(here.end - 1));
    let at = note_at(score, first.onset);
    let join = |how| [Correction::Join(first.id(), how)];
    let hook = Proposal::new(Change::Hook, format!("Hook {at} to the one before it"), join(SameBow::Hooked));
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
