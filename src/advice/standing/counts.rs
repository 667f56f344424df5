//! Strong beats, hairpins, retakes, stops and directions of a bowing.

use crate::{
    analysis::{Analysis, Study},
    bowing::Reached,
    score::{Direction, EventId},
};

/// Bars that begin with the start of a stroke or a hooked note: (on a down-bow, all). What is slurred over the
/// barline has no beat of its own. The down-bow on strong beats is common practice, no source, with many
/// exceptions.
pub(super) fn strong_beats(study: &Study, inside: &dyn Fn(EventId) -> bool) -> (usize, usize) {
    let analysis = study.analysis();
    let begun = analysis.bowing.notes.iter().enumerate().filter(|(k, bowed)| {
        let note = analysis.note(*k);
        let struck = bowed.reached != Reached::SameStroke || analysis.is_stopped(*k);
        struck && inside(note.id()) && study.lesson().score.starts_bar(note)
    });
    begun.fold((0, 0), |(down, all), (_, bowed)| {
        (down + usize::from(bowed.direction == Direction::Down), all + 1)
    })
}

/// Hairpins that lie inside one stroke: (with the bow, all). Crescendo on an up-bow and diminuendo
/// on a down-bow is common practice, no source.
pub(super) fn hairpins(study: &Study, inside: &dyn Fn(EventId) -> bool) -> (usize, usize) {
    let analysis = study.analysis();
    let first = |stroke: usize| analysis.note(analysis.stroke(stroke).notes.start).id();
    let mut all = analysis.bowing.swells(&study.lesson().score, &analysis.line);
    all.retain(|swell| inside(first(swell.stroke)));
    let up = |stroke: usize| analysis.stroke(stroke).direction == Direction::Up;
    let with = all.iter().filter(|swell| up(swell.stroke) == swell.opens);
    (with.count(), all.len())
}

/// What speaks against the directions of the bows.
pub(super) fn against(analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> f64 {
    let notes = analysis.bowing.notes.iter().enumerate();
    notes.filter(|(k, _)| inside(analysis.note(*k).id())).map(|(_, bowed)| bowed.against).sum()
}

/// Retakes that take their time from the note before them.
pub(super) fn retakes(analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> usize {
    counted(analysis, inside, |k| analysis.bowed(k).stolen_s > 0.0)
}

/// Notes that go on in the bow of the note before them after a stop.
pub(super) fn stops(analysis: &Analysis, inside: &dyn Fn(EventId) -> bool) -> usize {
    counted(analysis, inside, |k| analysis.is_stopped(k))
}

/// Bowed notes inside of which something is so.
fn counted(analysis: &Analysis, inside: &dyn Fn(EventId) -> bool, is: impl Fn(usize) -> bool) -> usize {
    let notes = 0..analysis.bowing.notes.len();
    notes.filter(|&k| is(k) && inside(analysis.note(k).id())).count()
}
