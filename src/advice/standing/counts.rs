//! Strong beats, hairpins, retakes and stops of a bowing, counted.

use crate::{
    analysis::{Analysis, Study},
    bowing::{Reached, is_stopped, swells},
    score::{Direction, EventId},
};

/// Bars whose first note starts a stroke or is hooked: (on a down-bow, all). What is slurred over the
/// barline has no beat of its own. The down-bow on strong beats is common practice, no source, with many
/// exceptions.
pub(super) fn strong_beats(study: &Study, inside: &dyn Fn(EventId) -> bool) -> (usize, usize) {
    let Analysis { line, bowed, .. } = study.analysis();
    let mut count = (0, 0);
    for (k, note) in bowed.iter().enumerate() {
        let struck = note.reached != Reached::SameStroke || is_stopped(line, bowed, k);
        let note_here = &line[note.note];
        if struck && inside(note_here.id()) && study.lesson().score.starts_bar(note_here) {
            count.1 += 1;
            count.0 += usize::from(note.direction == Direction::Down);
        }
    }
    count
}

/// Hairpins that lie inside one stroke: (with the bow, all). Crescendo on an up-bow and diminuendo
/// on a down-bow is common practice, no source.
pub(super) fn hairpins(study: &Study, inside: &dyn Fn(EventId) -> bool) -> (usize, usize) {
    let Analysis { line, bowed, strokes, .. } = study.analysis();
    let first = |stroke: usize| line[bowed[strokes[stroke].notes.start].note].id();
    let mut all = swells(&study.lesson().score, line, bowed, strokes);
    all.retain(|swell| inside(first(swell.stroke)));
    let with = all.iter().filter(|swell| (strokes[swell.stroke].direction == Direction::Up) == swell.opens);
    (with.count(), all.len())
}

/// Retakes that take their time from the note before them.
pub(super) fn retakes(analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> usize {
    let taken = |k: &usize| analysis.bowed[*k].stolen_s > 0.0;
    counted(analysis, inside, taken)
}

/// Notes that go on in the bow of the note before them after a stop.
pub(super) fn stops(analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> usize {
    counted(analysis, inside, |k| is_stopped(&analysis.line, &analysis.bowed, *k))
}

fn counted(analysis: &Analysis, inside: &dyn Fn(EventId) -> bool, is: impl Fn(&usize) -> bool) -> usize {
    let here = |k: &usize| inside(analysis.line[analysis.bowed[*k].note].id());
    (0..analysis.bowed.len()).filter(is).filter(here).count()
}
