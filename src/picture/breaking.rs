//! Where music is broken into lines.

use std::ops::Range;

use super::{Engraving, TimeAxis};
use crate::score::{Bar, Score};

/// Some bars in lines of whole bars, each with as many as it has room for and at least one. `room` is the width
/// that a line has for its music when it begins with a bar, mm.
pub(super) fn lines_of_bars(
    score: &Score,
    engraving: &Engraving,
    axis: &TimeAxis,
    bars: Range<usize>,
    room: &dyn Fn(usize) -> f64,
) -> Vec<Range<usize>> {
    let mut lines = Vec::new();
    let mut first = bars.start;
    while let Some(rest) = score.bars.get(first..bars.end).filter(|rest| !rest.is_empty()) {
        let (start, room) = (axis.barline_x(rest[0].start), room(first));
        let fits = |bar: &&Bar| axis.barline_x(bar.end()) - start + axis.notice_mm(bar.end()) <= room;
        let count = rest.iter().take_while(fits).count().max(1);
        // A rest of several bars stays whole.
        let count = match engraving.rest_of(first + count) {
            Some(run) if run.start > first => run.start - first,
            Some(run) if run.start == first || run.contains(&first) => run.end - first,
            _ => count,
        };
        lines.push(first..(first + count).min(bars.end));
        first += count;
    }
    lines
}

/// Lines are made this much shorter at a time to come out alike. Assumed.
const STEP: f64 = 0.97;

/// The same in as few lines, but with the music spread over them evenly.
pub(super) fn even_lines(
    score: &Score,
    engraving: &Engraving,
    axis: &TimeAxis,
    bars: Range<usize>,
    room: &dyn Fn(usize) -> f64,
) -> Vec<Range<usize>> {
    let lines = |part: f64| lines_of_bars(score, engraving, axis, bars.clone(), &|first| part * room(first));
    let mut even = lines(1.0);
    let (count, mut part) = (even.len(), STEP);
    while count > 1 && part > 0.3 {
        let shorter = lines(part);
        if shorter.len() > count {
            break;
        }
        (even, part) = (shorter, part * STEP);
    }
    even
}
