//! Bars and beats of one rhythm, and how evenly the bows last.

use std::collections::BTreeMap;

use crate::{
    analysis::Analysis,
    score::{Attack, Direction, Quarters},
};

use super::{
    choice::{Choice, Link},
    field::Field,
};

/// Added to what a bow lasts before two are compared, s: nobody hears which of two very short ones is shorter. Assumed.
const HARDLY_S: f64 = 0.1;

/// A rhythm: from the start of the bar or the beat, how long, with an accent, with a dot.
type Rhythm = Vec<(Quarters, Quarters, bool, bool)>;

/// The chosen notes of a field by bars and beats.
pub(super) struct Figures {
    chosen: Vec<usize>,
    /// How long each of them sounds, s.
    seconds: Vec<f64>,
    /// Their bars, each set of one rhythm.
    bars: Vec<Vec<Vec<usize>>>,
    /// Their beats of two notes and more, each set of one rhythm.
    beats: Vec<Vec<Vec<usize>>>,
}

/// How a note goes on from the one before it, as a player names it.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Joint {
    OwnBow,
    Retake,
    Slurred,
    Hooked,
}

impl Joint {
    pub fn of(link: Link) -> Self {
        match link {
            Link::Set | Link::Breath | Link::Change => Self::OwnBow,
            Link::Retake => Self::Retake,
            Link::Joined | Link::Slur => Self::Slurred,
            Link::Hook => Self::Hooked,
        }
    }

    /// Whether it is lifted before is no part of a figure.
    fn in_figure(link: Link) -> Self {
        if link.starts() { Self::OwnBow } else { Self::of(link) }
    }
}

impl Figures {
    pub fn of(field: &Field) -> Self {
        let (score, analysis) = (&field.study().lesson().score, field.study().analysis());
        let chosen: Vec<usize> = field.chosen_notes().collect();
        let start = |k: usize| score.bars.get(analysis.note(k).bar).map(|bar| (bar.start, bar.time.beat()));
        let bar = |k: usize| start(k).map(|(start, _)| (start, start));
        let beat = |k: usize| {
            let (start, beat) = start(k)?;
            let beats: Quarters = (analysis.note(k).onset - start) / beat;
            let from = start + Quarters::from(beats.numer().div_euclid(beats.denom())) * beat;
            Some((start, from))
        };
        let beats = sets(analysis, &chosen, beat)
            .into_iter()
            .map(|set| set.into_iter().filter(|notes: &Vec<usize>| notes.len() > 1).collect());
        Self {
            seconds: chosen.iter().map(|&k| analysis.piece(k).seconds).collect(),
            bars: sets(analysis, &chosen, bar),
            beats: beats.collect(),
            chosen,
        }
    }

    /// How many bars and beats are bowed otherwise than those of their rhythm before, and how unlike neighbouring bows
    /// last.
    pub fn read(&self, bowing: &[Choice]) -> (usize, f64) {
        (self.bars_unlike(bowing) + self.beats_unlike(bowing), self.uneven(bowing))
    }

    /// Bars joined otherwise than the first of their rhythm, and bars begun the other way.
    fn bars_unlike(&self, bowing: &[Choice]) -> usize {
        let way = |notes: &[usize]| -> (Vec<Joint>, Option<Direction>) {
            let joints = notes.iter().skip(1).map(|&k| Joint::in_figure(bowing[k].link)).collect();
            (joints, notes.first().map(|&k| bowing[k].direction))
        };
        let unlike = |bars: &Vec<Vec<usize>>| {
            let mut ways = bars.iter().map(|notes| way(notes));
            let Some(first) = ways.next() else { return 0 };
            ways.map(|way| usize::from(way.0 != first.0) + usize::from(way.1 != first.1)).sum()
        };
        self.bars.iter().map(unlike).sum()
    }

    /// Beats joined otherwise than any of their rhythm before.
    fn beats_unlike(&self, bowing: &[Choice]) -> usize {
        let way = |notes: &Vec<usize>| -> Vec<Joint> {
            notes.iter().map(|&k| Joint::in_figure(bowing[k].link)).collect()
        };
        let unlike = |beats: &Vec<Vec<usize>>| {
            let mut ways: Vec<Vec<Joint>> = beats.iter().map(way).collect();
            ways.sort_unstable();
            ways.dedup();
            ways.len().saturating_sub(1)
        };
        self.beats.iter().map(unlike).sum()
    }

    /// The mean logarithm of the ratio of neighbouring bows, by what they last.
    fn uneven(&self, bowing: &[Choice]) -> f64 {
        let mut bows: Vec<f64> = Vec::new();
        for (&k, seconds) in self.chosen.iter().zip(&self.seconds) {
            match bows.last_mut() {
                Some(bow) if !bowing[k].link.starts() => *bow += seconds,
                _ if bowing[k].link.starts() => bows.push(*seconds),
                _ => {}
            }
        }
        let ratio = |two: &[f64]| ((two[0] + HARDLY_S) / (two[1] + HARDLY_S)).ln().abs();
        bows.windows(2).map(ratio).sum::<f64>() / bows.len().saturating_sub(1).max(1) as f64
    }
}

/// The notes by bars or beats (`of` tells the start of the bar, and of which part of it), those of one rhythm
/// together, in the order of the music.
fn sets(
    analysis: &Analysis,
    chosen: &[usize],
    of: impl Fn(usize) -> Option<(Quarters, Quarters)>,
) -> Vec<Vec<Vec<usize>>> {
    let mut parts: BTreeMap<(Quarters, Quarters), Vec<usize>> = BTreeMap::new();
    for &k in chosen {
        if let Some(part) = of(k) {
            parts.entry(part).or_default().push(k);
        }
    }
    let mut sets: BTreeMap<Rhythm, Vec<Vec<usize>>> = BTreeMap::new();
    for ((_, from), notes) in parts {
        let sound = |note: &Attack| {
            let accented = note.marks.iter().any(|mark| mark.is_accent());
            (note.onset - from, note.duration, accented, note.is_dotted())
        };
        let rhythm = notes.iter().map(|&k| sound(analysis.note(k))).collect();
        sets.entry(rhythm).or_default().push(notes);
    }
    sets.into_values().collect()
}
