//! What stands beside the notes, after the notes were laid out anew: signs, slurs, ties.

use std::collections::{BTreeMap, BTreeSet, HashSet};

use super::item::Item;
use crate::score::{Event, EventId, Note, Quarters, Score, SignKind, Slur};

/// Moves dynamics, hairpins and words with the notes; what stands at the very start stays.
pub(super) fn move_signs(score: &mut Score, items: &[Item], starts: &[Quarters], gone: &[Item]) {
    // Old onset, old length, new onset, new length, in old order.
    let mut moves: Vec<[Quarters; 4]> = items
        .iter()
        .zip(starts)
        .filter_map(|(item, &start)| item.was.map(|(onset, length)| [onset, length, start, item.length]))
        .collect();
    moves.sort();
    // A note that is gone has its place where the note before it now ends.
    let places = gone.iter().filter_map(|item| item.was).map(|(onset, length)| {
        let before = moves[..moves.partition_point(|m| m[0] < onset)].last();
        [onset, length, before.map_or(Quarters::ZERO, |m| m[2] + m[3]), Quarters::ZERO]
    });
    let places: Vec<_> = places.collect();
    moves.extend(places);
    moves.sort();
    let moved = |at: Quarters| {
        let after = moves.partition_point(|m| m[0] <= at);
        let Some(&[onset, length, start, new_length]) = after.checked_sub(1).map(|k| &moves[k]) else {
            return at;
        };
        if at.is_zero() {
            at
        } else if at >= onset + length {
            start + new_length + (at - onset - length)
        } else {
            start + (at - onset).min(new_length)
        }
    };
    for sign in &mut score.signs {
        match &mut sign.kind {
            SignKind::Dynamic(_) | SignKind::Words(_) => sign.at = moved(sign.at),
            SignKind::Hairpin { end, .. } | SignKind::OctaveLine { end, .. } => {
                sign.at = moved(sign.at);
                *end = moved(*end);
            }
            SignKind::Tempo { .. } | SignKind::Rehearsal(_) | SignKind::Clef(_) => {}
        }
    }
    score.signs.retain(|sign| sign.kind.end().is_none_or(|end| end > sign.at));
}

/// Fits the slurs of the first voice to the notes that are left. One that begins or ends in the middle of tied
/// notes goes on doing so as long as that note is there.
pub(super) fn mend_slurs(
    score: &mut Score,
    old: &Score,
    item_of: &BTreeMap<EventId, usize>,
    ends: &[(EventId, EventId)],
) {
    let place: BTreeMap<EventId, usize> =
        old.events.iter().enumerate().map(|(k, event)| (event.id, k)).collect();
    let written: HashSet<EventId> = score.events.iter().map(|event| event.id).collect();
    let slurs = std::mem::take(&mut score.slurs).own();
    score.slurs = slurs
        .into_iter()
        .filter_map(|slur| {
            let (from, to) = (*place.get(&slur.from)?, *place.get(&slur.to)?);
            if old.events[from].voice != 0 || from > to {
                return Some(slur);
            }
            let notes = old.events[from..=to].iter().filter(|event| event.voice == 0 && !event.is_rest());
            let left: BTreeSet<usize> = notes.filter_map(|event| item_of.get(&event.id).copied()).collect();
            let (first, last) = (*left.first()?, *left.last()?);
            let end = |own: EventId, item: usize, mended: EventId| {
                let stays = written.contains(&own) && item_of.get(&own) == Some(&item);
                if stays { own } else { mended }
            };
            let (from, to) = (end(slur.from, first, ends[first].0), end(slur.to, last, ends[last].1));
            (first < last).then_some(Slur { from, to, ..slur })
        })
        .collect();
}

/// Removes half ties of the first voice whose other half is gone.
pub(super) fn mend_ties(score: &mut Score) {
    let voice: Vec<usize> = (0..score.events.len())
        .filter(|&k| score.events[k].voice == 0 && score.events[k].grace.is_none())
        .collect();
    let has = |event: &Event, midi: f64, start: bool| {
        event
            .notes
            .iter()
            .any(|note| note.pitch.midi() == midi && if start { note.tie_start } else { note.tie_stop })
    };
    for pair in voice.windows(2) {
        let (before, after) = (score.events[pair[0]].clone(), score.events[pair[1]].clone());
        let meet = before.end() == after.onset;
        let starts = |note: &Note| note.tie_start && !(meet && has(&after, note.pitch.midi(), false));
        if before.notes.iter().any(starts) {
            score.events[pair[0]]
                .notes
                .iter_mut()
                .filter(|note| starts(note))
                .for_each(|note| note.tie_start = false);
        }
        let stops = |note: &Note| note.tie_stop && !(meet && has(&before, note.pitch.midi(), true));
        if after.notes.iter().any(stops) {
            score.events[pair[1]]
                .notes
                .iter_mut()
                .filter(|note| stops(note))
                .for_each(|note| note.tie_stop = false);
        }
    }
    if let Some(&last) = voice.last() {
        score.events[last].notes.iter_mut().for_each(|note| note.tie_start = false);
    }
    if let Some(&first) = voice.first() {
        score.events[first].notes.iter_mut().for_each(|note| note.tie_stop = false);
    }
}
