//! Ties: only those that join two heads of one sounding pitch stay.

use std::collections::{BTreeMap, HashSet};

use super::settling::Settling;
use crate::score::{Note, Quarters};

/// Checks every tie against the note it leads to: only ties that join two heads of the same
/// sounding pitch stay. Returns the pairs of events tied at different pitches, which the reader of
/// slurs takes as slurred.
pub(super) fn join(settling: &mut Settling<'_>) -> Vec<(usize, usize)> {
    let mut by_onset: BTreeMap<Quarters, Vec<usize>> = BTreeMap::new();
    for (index, event) in settling.events.iter().enumerate().filter(|(_, event)| !event.is_rest()) {
        by_onset.entry(event.onset).or_default().push(index);
    }
    let mut ends = Ends {
        reached: settling.events.iter().map(|event| vec![false; event.notes.len()]).collect(),
        slurred: Vec::new(),
    };
    for index in 0..settling.events.len() {
        if settling.events[index].notes.iter().any(|note| note.tie_start) {
            stretch_to_tie(settling, index, &by_onset);
            lead(settling, index, &by_onset, &mut ends);
        }
    }
    leave_out_loose(settling, &ends);
    ends.slurred.sort_unstable();
    ends.slurred.dedup();
    ends.slurred
}

/// Where ties end.
struct Ends {
    /// For each head of each event whether a tie has reached it.
    reached: Vec<Vec<bool>>,
    /// Events tied at different pitches.
    slurred: Vec<(usize, usize)>,
}

/// Leads the ties of one event to the heads they end on.
fn lead(
    settling: &mut Settling<'_>,
    index: usize,
    by_onset: &BTreeMap<Quarters, Vec<usize>>,
    ends: &mut Ends,
) {
    let (end, voice) = (settling.events[index].end(), settling.events[index].voice);
    // A grace note is tied to a later note at its own onset.
    let later = by_onset.get(&end).into_iter().flatten().copied().filter(|&target| target > index);
    let mut targets: Vec<usize> = later.collect();
    targets.sort_by_key(|&target| (settling.events[target].voice != voice, target));
    for head in 0..settling.events[index].notes.len() {
        let note = &settling.events[index].notes[head];
        if !note.tie_start {
            continue;
        }
        let midi = note.pitch.midi();
        let found = targets.iter().find_map(|&target| {
            let fits = |(at, other): (usize, &Note)| {
                other.tie_stop && other.pitch.midi() == midi && !ends.reached[target][at]
            };
            Some((target, settling.events[target].notes.iter().enumerate().position(fits)?))
        });
        if let Some((target, at)) = found {
            ends.reached[target][at] = true;
            if settling.events[target].voice != voice {
                settling.note(index, "a tie leads to another voice; its end is planned as a new note", "");
            }
            continue;
        }
        settling.events[index].notes[head].tie_start = false;
        let other_pitch = targets.iter().find(|&&target| {
            let event = &settling.events[target];
            event.voice == voice && event.notes.iter().any(|note| note.tie_stop)
        });
        match other_pitch {
            Some(&target) => {
                settling.warn(index, "a tie joins different pitches; it is read as a slur", "");
                ends.slurred.push((index, target));
            }
            None => settling.warn(index, "a tie leads to no note of its pitch; it is left out", ""),
        }
    }
}

/// Removes the ends of ties that never began.
fn leave_out_loose(settling: &mut Settling<'_>, ends: &Ends) {
    let slurred: HashSet<usize> = ends.slurred.iter().map(|&(_, target)| target).collect();
    for (index, reached) in ends.reached.iter().enumerate() {
        for (head, reached) in reached.iter().enumerate() {
            let note = &mut settling.events[index].notes[head];
            if note.tie_stop && !reached {
                note.tie_stop = false;
                if !slurred.contains(&index) {
                    settling.warn(index, "a tie ends that never began; it is left out", "");
                }
            }
        }
    }
}

/// A note tied over the barline sounds up to it: where the file lets it end before, though nothing
/// else follows in its voice and bar, it is made longer.
fn stretch_to_tie(settling: &mut Settling<'_>, index: usize, by_onset: &BTreeMap<Quarters, Vec<usize>>) {
    let event = &settling.events[index];
    let barline = settling.timeline.start(settling.raw[index].bar + 1);
    if event.grace.is_some() || event.end() >= barline {
        return;
    }
    let follows = settling.events[index + 1..]
        .iter()
        .take_while(|later| later.onset < barline)
        .any(|later| later.voice == event.voice);
    let tied = |&target: &usize| {
        let target = &settling.events[target];
        let from = |note: &Note| {
            event.notes.iter().any(|old| old.tie_start && old.pitch.midi() == note.pitch.midi())
        };
        target.voice == event.voice && target.notes.iter().any(|note| note.tie_stop && from(note))
    };
    if !follows && by_onset.get(&barline).is_some_and(|targets| targets.iter().any(tied)) {
        settling.events[index].duration = barline - settling.events[index].onset;
        settling.warn(
            index,
            "a note tied over the barline ends before it; it is held up to the barline",
            "check the note values in this bar",
        );
    }
}
