//! What all parts of a score share: the length of every bar, and the tempo.

use std::collections::BTreeMap;

use super::raw::{RawEvent, RawPart, RawTempo, Spot};
use crate::{
    exchange::diagnostic::{FilePlace, Reporter},
    score::Quarters,
};

/// How far contents may miss a bar's length by rounding of tuplets: 1/16 of a quarter note.
/// Assumed; exporters' rounding seen is 1/40.
pub(super) fn rounding() -> Quarters {
    Quarters::new(1, 16)
}

/// Farthest shift of a direction that only moves its print: half a quarter note. Assumed, after
/// what exporters do.
fn cosmetic() -> Quarters {
    Quarters::new(1, 2)
}

/// How many times the tempo for playback a printed number may be, or the other way round, before it
/// is taken for a slip of the pen. Assumed; a wrong beat unit gives three at most.
const SLIP: f64 = 4.0;

/// The printed tempo and its text, unless the tempo for playback tells that it is a slip.
fn printed_of(tempo: &RawTempo) -> Option<&(f64, String)> {
    let slip = |qpm: f64| tempo.played.is_some_and(|played| qpm > played * SLIP || qpm < played / SLIP);
    tempo.printed.as_ref().filter(|(qpm, _)| !slip(*qpm))
}

/// Where bars start and how long they are.
#[derive(Clone, Debug, Default)]
pub(super) struct Timeline {
    /// Start of every bar, and the end of the last.
    starts: Vec<Quarters>,
}

/// A tempo mark, placed.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Tempo {
    /// Index of its bar.
    pub bar: usize,
    /// From the start of the bar.
    pub at: Quarters,
    /// Quarter notes per minute.
    pub qpm: f64,
    /// As printed.
    pub text: String,
    /// What it was read from: byte offsets of elements, whether they hold words of it, whether they stand
    /// elsewhere in the text than they mean.
    pub origins: Vec<(usize, bool, bool)>,
}

impl Timeline {
    fn from_lengths(lengths: impl IntoIterator<Item = Quarters>) -> Self {
        let mut starts = vec![Quarters::ZERO];
        let mut now = Quarters::ZERO;
        for length in lengths {
            now += length;
            starts.push(now);
        }
        Self { starts }
    }

    /// A bar is as long as its time signature if any part fills that, else as its longest part,
    /// else (no part holds anything) as its time signature. Adding up one part's own contents would
    /// make the parts drift apart, since exporters round tuplets and forget rests.
    pub(super) fn of_score(parts: &[RawPart]) -> Self {
        let bars = parts.iter().map(|part| part.bars.len()).max().unwrap_or(0);
        Self::from_lengths((0..bars).map(|index| {
            let here = || parts.iter().filter_map(move |part| part.bars.get(index));
            let filled = here().find_map(|bar| {
                bar.time.bar_length().filter(|full| (bar.content - *full).abs() <= rounding())
            });
            let longest = here().map(|bar| bar.content).max().filter(|content| content.is_positive());
            let full = || here().find_map(|bar| bar.time.bar_length());
            filled.or(longest).or_else(full).unwrap_or(Quarters::from(4))
        }))
    }

    /// The same for one part alone: a bar it overfills is longer here, so that nothing overlaps the
    /// next bar. The second list names these bars.
    pub(super) fn of_part(&self, part: &RawPart) -> (Self, Vec<usize>) {
        let mut longer = Vec::new();
        let lengths: Vec<Quarters> = part
            .bars
            .iter()
            .enumerate()
            .map(|(index, bar)| {
                let length = self.length(index);
                if bar.content - length > rounding() {
                    longer.push(index);
                    bar.content
                } else {
                    length
                }
            })
            .collect();
        (Self::from_lengths(lengths), longer)
    }

    /// Start of a bar; the end of the last for anything beyond.
    pub(super) fn start(&self, bar: usize) -> Quarters {
        self.starts.get(bar).or(self.starts.last()).copied().unwrap_or(Quarters::ZERO)
    }

    /// Length of a bar.
    pub(super) fn length(&self, bar: usize) -> Quarters {
        self.start(bar + 1) - self.start(bar)
    }

    /// Onset of an event. A grace note within rounding of its bar's end is at that end; a note stays
    /// where it is, since it may be as short as the rounding.
    pub(super) fn onset(&self, event: &RawEvent) -> Quarters {
        let end = self.length(event.bar);
        let at_end = event.grace.is_some() && (end - event.at).abs() <= rounding();
        self.start(event.bar) + if at_end { end } else { event.at }
    }

    /// Index of the bar that holds a time, and how far into it.
    fn locate(&self, time: Quarters) -> (usize, Quarters) {
        let last = self.starts.len().saturating_sub(2);
        let bar = self.starts.partition_point(|start| *start <= time).saturating_sub(1).min(last);
        (bar, time - self.start(bar))
    }

    /// Index of the bar that holds a time.
    pub(super) fn bar_of(&self, time: Quarters) -> usize {
        self.locate(time).0
    }

    /// All places where something of a part starts, and the starts of the bars, in order.
    pub(super) fn onsets(&self, part: &RawPart) -> Vec<Quarters> {
        let mut onsets: Vec<Quarters> = self.starts.clone();
        onsets.extend(part.events.iter().map(|event| self.onset(event)));
        onsets.sort_unstable();
        onsets.dedup();
        onsets
    }

    /// The time a direction means. Exporters write a direction late and point back with an offset:
    /// small ones only move the print; larger ones lead to the nearest note, rest or bar, or to where
    /// they point if nothing is near.
    pub(super) fn meant(&self, spot: Spot, onsets: &[Quarters]) -> Quarters {
        let end = self.starts.last().copied().unwrap_or(Quarters::ZERO);
        let cursor = self.start(spot.bar) + spot.at.min(self.length(spot.bar));
        let moved = (cursor + spot.offset).max(Quarters::ZERO).min(end);
        if spot.exact {
            return moved;
        }
        if spot.offset.abs() <= cosmetic() {
            return cursor;
        }
        let after = onsets.partition_point(|onset| *onset < moved);
        let around = onsets[after.saturating_sub(1)..].iter().take(2);
        let nearest = around.copied().min_by_key(|onset| (*onset - moved).abs());
        nearest.filter(|onset| (*onset - moved).abs() <= cosmetic()).unwrap_or(moved)
    }
}

/// The tempo marks of all parts, which stand for the whole score, in order.
///
/// At one place the printed number counts before the one for playback: it is what players see.
pub(super) fn tempos(parts: &[RawPart], timeline: &Timeline, report: &mut Reporter) -> Vec<Tempo> {
    let mut places: BTreeMap<Quarters, Vec<&RawTempo>> = BTreeMap::new();
    for part in parts.iter().filter(|part| !part.tempos.is_empty()) {
        let onsets = timeline.onsets(part);
        for tempo in &part.tempos {
            places.entry(timeline.meant(tempo.spot, &onsets)).or_default().push(tempo);
        }
        for tempo in &part.tempos {
            if let (Some((printed, _)), Some(played)) = (&tempo.printed, tempo.played)
                && (printed / played - 1.0).abs() > 0.01
            {
                let bar = part.bars.get(tempo.spot.bar).map_or("", |bar| bar.number.as_str());
                report.note(
                    FilePlace { bar, line: tempo.line },
                    if printed_of(tempo).is_some() {
                        "the printed tempo and the tempo for playback differ; the printed one is taken"
                    } else {
                        "the printed tempo is far from the tempo for playback, which is taken"
                    },
                    "",
                );
            }
        }
    }
    let mut tempos: Vec<Tempo> = Vec::new();
    for (time, marks) in places {
        let printed = marks.iter().rev().find_map(|mark| {
            let (qpm, number) = printed_of(mark)?;
            let text =
                if mark.words.is_empty() { number.clone() } else { format!("{} ({number})", mark.words) };
            Some((*qpm, text))
        });
        let played = || marks.iter().rev().find_map(|mark| Some((mark.played?, mark.words.clone())));
        let Some((qpm, text)) = printed.or_else(played) else { continue };
        let (bar, at) = timeline.locate(time);
        let origin = |mark: &&RawTempo| (mark.origin, !mark.words.is_empty(), !mark.spot.offset.is_zero());
        tempos.push(Tempo { bar, at, qpm, text, origins: marks.iter().map(origin).collect() });
    }
    tempos
}
