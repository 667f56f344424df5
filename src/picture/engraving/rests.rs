//! Bars of rest that are printed as one wide rest. Common practice, no source.

use std::{collections::HashSet, ops::Range};

use crate::score::Score;

/// Runs of two bars and more in which rests stand and nothing else, and at whose inner barlines nothing
/// happens.
pub(super) fn runs(score: &Score) -> Vec<Range<usize>> {
    let mut busy: HashSet<usize> = HashSet::new();
    // A bar with nothing in it waits to be written into.
    let mut at_rest: HashSet<usize> = HashSet::new();
    for event in &score.events {
        at_rest.extend(score.bar_at(event.onset));
        if !event.is_rest() || event.cue || !event.marks.is_empty() {
            busy.extend(score.bar_at(event.onset));
        }
    }
    // Bars that begin something, and bars in the middle of which something stands.
    let mut begins: HashSet<usize> = HashSet::new();
    for sign in &score.signs {
        let Some(bar) = score.bar_at(sign.at) else { continue };
        if sign.at > score.bars[bar].start {
            busy.insert(bar)
        } else {
            begins.insert(bar)
        };
        if let Some(end) = sign.kind.end() {
            busy.extend(bar..=score.bar_at(end).unwrap_or(bar));
        }
    }
    let goes_on = |bar: usize| {
        let (before, here) = (&score.bars[bar - 1], &score.bars[bar]);
        !begins.contains(&bar)
            && here.time == before.time
            && here.key == before.key
            && here.ending == before.ending
            && !(here.repeat_start || before.repeat_end || before.double_barline)
    };
    let mut runs: Vec<Range<usize>> = Vec::new();
    for bar in (0..score.bars.len()).filter(|bar| at_rest.contains(bar) && !busy.contains(bar)) {
        match runs.last_mut() {
            Some(run) if run.end == bar && goes_on(bar) => run.end = bar + 1,
            _ => runs.push(bar..bar + 1),
        }
    }
    runs.retain(|run| run.len() > 1);
    runs
}
