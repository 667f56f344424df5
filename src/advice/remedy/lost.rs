//! What a change takes from the marks that composer or editor wrote.

use std::collections::BTreeMap;

use crate::{
    analysis::{Analysis, Study},
    bowing::Reached,
    score::{Attack, EventId, Mark, SameBow},
};

/// A note with an accent, an sf or fp that no longer begins a bow. Assumed, as the other.
const ACCENT: f64 = 2.0;
/// A note with a dot or wedge that is joined to the one beside it without a stop.
const DOT: f64 = 1.0;

/// What a change loses of the marks that stood before it, for each strong beat on an up-bow 1.5.
pub(super) fn lost(before: &Study, after: &Study) -> f64 {
    let (was, is) = (before.analysis(), after.analysis());
    let notes: BTreeMap<EventId, usize> = (0..is.bowing.notes.len()).map(|k| (is.note(k).id(), k)).collect();
    let loses = |k: usize| {
        let note = was.note(k);
        let Some(&now) = notes.get(&note.id()) else { return 0.0 };
        let mut lost = 0.0;
        let was_in = goes_on(was, k);
        if goes_on(is, now) && !was_in {
            if note.marks.iter().any(is_struck) {
                lost += ACCENT;
            }
            let short = |note: &Attack| note.marks.iter().any(is_short);
            let hooked = is.is_stopped(now) && is.note(now).same_bow != Some(SameBow::Portato);
            if !hooked && (short(note) || k > 0 && short(was.note(k - 1))) {
                lost += DOT;
            }
        }
        lost
    };
    (0..was.bowing.notes.len()).map(loses).sum()
}

/// A bow mark that stood there is gone, turned or without a meaning.
pub(super) fn overrules_a_mark(before: &Study, after: &Study) -> bool {
    let (was, is) = (before.analysis(), after.analysis());
    (0..was.bowing.notes.len()).any(|k| {
        let note = was.note(k);
        let Some(bow) = note.bow else { return false };
        let Some(now) = is.bowed_of_event(note.id()) else { return false };
        let joined = goes_on(is, now) && !goes_on(was, k);
        is.note(now).bow.is_none() || is.bowed(now).direction != bow || joined
    })
}

/// A bowed note goes on in the bow of the note before it.
fn goes_on(analysis: &Analysis, k: usize) -> bool {
    analysis.bowed(k).reached == Reached::SameStroke
}

fn is_struck(mark: &Mark) -> bool {
    mark.is_accent() || matches!(mark, Mark::Sforzando | Mark::FortePiano)
}

pub(super) fn is_short(mark: &Mark) -> bool {
    matches!(mark, Mark::Staccato | Mark::Staccatissimo | Mark::Spiccato)
}
