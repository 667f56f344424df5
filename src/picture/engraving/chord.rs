//! Chords on the staff: heads, stem directions, and the room they take.

use std::{collections::BTreeSet, ops::Range};

use super::groups;
use crate::{
    picture::smufl,
    score::{Event, Quarters, Score, Shared},
};

/// Size of grace notes and cue notes against full ones. Common practice, no source.
pub(in crate::picture) const SMALL: f64 = 0.64;
/// Air between grace notes, and between a grace note and what belongs to its main note, staff spaces.
/// Assumed.
const GRACE_AIR: f64 = 0.35;

/// Half the width of the head of a note value (a power of two in whole notes), staff spaces.
pub(in crate::picture) fn half_of(log2_whole: i8) -> f64 {
    smufl::head(log2_whole).bounds().width() / 2.0
}

/// Half the width of a black head, staff spaces.
pub(in crate::picture) fn head_half() -> f64 {
    half_of(-2)
}

/// One note head.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::picture) struct Head {
    /// Half spaces above the bottom line.
    pub step: i32,
    /// Printed accidental as an alteration in half steps.
    pub accidental: Option<f32>,
    /// Left edge of the accidental against the middle of the chord, staff spaces.
    pub accidental_x: f64,
    /// Index of its note in the event.
    pub note: usize,
    /// On the other side of the stem, for a second.
    pub displaced: bool,
    /// Half spaces above the bottom line of its dots.
    pub dot_step: i32,
}

/// One written event as it stands on the staff. Lengths are staff spaces at its own size.
#[derive(Clone, Debug, PartialEq, Default)]
pub(in crate::picture) struct Chord {
    /// Heads, lowest first; empty for a rest.
    pub heads: Vec<Head>,
    /// Half the width of its heads, or of the sign of a rest.
    pub half: f64,
    /// Stem direction.
    pub up: bool,
    /// Its beam group.
    pub beam: Option<usize>,
    /// Rests: half spaces by which it is moved from the middle.
    pub rest_shift: i32,
    /// A rest that another voice makes needless.
    pub hidden: bool,
    /// Grace notes: how far left of the main note.
    pub grace_left: f64,
    /// One of two or more voices in its bar.
    pub shared_bar: bool,
    /// Moved to the right to clear another voice's heads.
    pub shift: f64,
    /// From its middle to the left edge of all that belongs to it.
    pub left: f64,
    /// From its middle to the right edge of all that belongs to it.
    pub right: f64,
    /// From its middle to the left edge of its first dot.
    pub dots_x: f64,
}

impl Chord {
    pub(in crate::picture) fn low(&self) -> i32 {
        self.heads.first().map_or(4, |head| head.step)
    }

    pub(in crate::picture) fn high(&self) -> i32 {
        self.heads.last().map_or(4, |head| head.step)
    }

    /// How far a head on the other side of the stem lies from the middle of the chord.
    pub(in crate::picture) fn displacement(&self) -> f64 {
        let by = 2.0 * self.half - smufl::defaults().stem_thickness;
        if self.up { by } else { -by }
    }

    /// Left and right edge of its heads, against its middle.
    pub(super) fn sides(&self) -> (f64, f64) {
        let by = if self.heads.iter().any(|head| head.displaced) { self.displacement() } else { 0.0 };
        (by.min(0.0) - self.half, by.max(0.0) + self.half)
    }
}

/// The events of a score as chords, their heads on the lines and spaces of the clef in force; of that and
/// of octave lines comes what [`crate::score::Pitch::staff_step`] stands on the bottom line at a time.
pub(super) fn chords(score: &Score, bottom_line_at: impl Fn(Quarters) -> i32) -> Vec<Chord> {
    let chord = |event: &Shared<Event>| {
        let bottom = bottom_line_at(event.onset);
        let head = |(note, n): (usize, &crate::score::Note)| Head {
            step: (n.pitch.staff_step() - bottom).clamp(-30, 40),
            accidental: None,
            accidental_x: 0.0,
            note,
            displaced: false,
            dot_step: 0,
        };
        let mut heads: Vec<Head> = event.notes.iter().enumerate().map(head).collect();
        heads.sort_by_key(|head| head.step);
        let half = if event.is_rest() {
            smufl::rest(event.value.log2_whole).bounds().width() / 2.0
        } else {
            half_of(event.value.log2_whole)
        };
        Chord { heads, half, ..Chord::default() }
    };
    score.events.iter().map(chord).collect()
}

/// Stems: away from the middle line, by voice where several share a bar, alike under one beam.
pub(super) fn set_stems(score: &Score, chords: &mut [Chord], beams: &[Vec<usize>]) {
    let voices = groups::voices_by_bar(score);
    for (index, event) in score.events.iter().enumerate() {
        let in_bar = voices.get(&score.bar_at(event.onset).unwrap_or(0)).map_or(&[][..], Vec::as_slice);
        let chord = &mut chords[index];
        chord.shared_bar = in_bar.len() > 1;
        if chord.shared_bar {
            let place = in_bar.iter().position(|voice| *voice == event.voice).unwrap_or(0);
            chord.up = place % 2 == 0;
        } else {
            chord.up = event.grace.is_some() || stem_up(chord.low(), chord.high());
        }
    }
    for (group, members) in beams.iter().enumerate() {
        let low = members.iter().map(|&i| chords[i].low()).min().unwrap_or(4);
        let high = members.iter().map(|&i| chords[i].high()).max().unwrap_or(4);
        for &index in members {
            chords[index].beam = Some(group);
            if !chords[index].shared_bar && score.events[index].grace.is_none() {
                chords[index].up = stem_up(low, high);
            }
        }
    }
    chords.iter_mut().for_each(displace_seconds);
}

/// Stem direction of a single voice: away from the side on which the outermost head lies farther
/// from the middle line; down when both are equally far.
fn stem_up(low: i32, high: i32) -> bool {
    4 - low > high - 4
}

fn displace_seconds(chord: &mut Chord) {
    let count = chord.heads.len();
    let mut previous: Option<(i32, bool)> = None;
    for place in 0..count {
        let index = if chord.up { place } else { count - 1 - place };
        let head = &mut chord.heads[index];
        head.displaced =
            previous.is_some_and(|(step, displaced)| (step - head.step).abs() <= 1 && !displaced);
        previous = Some((head.step, head.displaced));
    }
}

/// Members of each onset: the events that take written time, and those that stand before them.
pub(super) fn onsets(score: &Score) -> impl Iterator<Item = Range<usize>> {
    let mut start = 0;
    std::iter::from_fn(move || {
        let onset = score.events.get(start)?.onset;
        let len = score.events[start..].iter().take_while(|event| event.onset == onset).count();
        start += len;
        Some(start - len..start)
    })
}

/// Where heads of two voices would overlap, the lower voice moves to the right. Rests move away from
/// the heads of the other voice, and one that stands for both, or in a bar that another voice fills, is
/// printed once.
pub(super) fn separate_voices(score: &Score, chords: &mut [Chord]) {
    let voices = groups::voices_by_bar(score);
    for members in onsets(score) {
        let timed = |&i: &usize| score.events[i].grace.is_none();
        for index in members.clone().filter(timed).filter(|&i| score.events[i].is_rest()) {
            let event = &score.events[index];
            let in_bar = voices.get(&score.bar_at(event.onset).unwrap_or(0)).map_or(&[][..], Vec::as_slice);
            if event.whole_bar {
                chords[index].hidden = in_bar.iter().any(|voice| *voice != event.voice);
            } else if chords[index].shared_bar {
                let mut others = members.clone().filter(timed).filter(|&i| i != index);
                let alike =
                    |i: usize| i < index && score.events[i].is_rest() && score.events[i].value == event.value;
                chords[index].hidden = others.clone().any(alike);
                let one_for_both =
                    others.clone().any(|i| score.events[i].is_rest() && score.events[i].value == event.value);
                chords[index].rest_shift = if one_for_both && others.all(|i| score.events[i].is_rest()) {
                    0
                } else {
                    rest_shift(members.clone().filter(timed), chords, index)
                };
            }
        }
        let full = |&i: &usize| timed(&i) && chords[i].shared_bar && !chords[i].heads.is_empty();
        let members: Vec<usize> = members.filter(full).collect();
        let [upper, lower] = members[..] else { continue };
        let gap = chords[upper].low() - chords[lower].high();
        let (a, b) = (score.events[upper].value, score.events[lower].value);
        let (low, high) = (chords[upper].heads.first(), chords[lower].heads.last());
        let harmonic = |event: usize, head: Option<&Head>| {
            head.is_some_and(|head| score.events[event].notes[head.note].harmonic)
        };
        let alike = harmonic(upper, low) == harmonic(lower, high);
        let one_head =
            gap == 0 && alike && smufl::head(a.log2_whole) == smufl::head(b.log2_whole) && a.dots == b.dots;
        if gap < 2 && !one_head {
            chords[lower].shift = chords[upper].half + chords[lower].half;
        }
    }
}

/// Half spaces a rest of one of two voices moves from the middle: two spaces, or as far as it takes to
/// clear the heads that stand with it.
fn rest_shift(members: impl Iterator<Item = usize>, chords: &[Chord], rest: usize) -> i32 {
    // A rest reaches three half spaces from its middle; it keeps one more from a head's middle to its edge
    // and stays on a line.
    const REACH: i32 = 5;
    let up = chords[rest].up;
    let heads = members.filter(|&i| i != rest).flat_map(|i| &chords[i].heads).map(|head| head.step);
    let on_a_line = |steps: i32| steps + steps.rem_euclid(2);
    if up {
        on_a_line(heads.map(|step| step + REACH - 4).fold(4, i32::max))
    } else {
        -on_a_line(heads.map(|step| 4 - (step - REACH)).fold(4, i32::max))
    }
}

/// Grace notes stand left of their main note, from it to the left.
pub(super) fn set_grace(score: &Score, chords: &mut [Chord]) {
    for members in onsets(score) {
        let main = members.clone().filter(|&i| score.events[i].grace.is_none());
        let mut left = main.map(|i| chords[i].left - chords[i].shift).fold(0.0, f64::max);
        for index in members.rev().filter(|&i| score.events[i].grace.is_some()) {
            let chord = &mut chords[index];
            chord.grace_left = left + GRACE_AIR + SMALL * chord.right;
            left = chord.grace_left + SMALL * chord.left;
        }
    }
}

/// The place of dots, and the edges of all that belongs to each event.
pub(super) fn set_edges(score: &Score, chords: &mut [Chord]) {
    for members in onsets(score) {
        let timed = members.clone().filter(|&i| score.events[i].grace.is_none());
        // Dots of all voices stand in one column, right of all heads.
        let heads = timed.map(|i| chords[i].shift + chords[i].sides().1).fold(0.0, f64::max);
        let mut taken = BTreeSet::new();
        for index in members {
            let event = &score.events[index];
            let chord = &mut chords[index];
            let (left, right) = chord.sides();
            let grace = event.grace.is_some();
            let right = if grace { right } else { heads - chord.shift };
            chord.dots_x = right + DOT_AIR;
            let accidentals = chord.heads.iter().filter(|head| head.accidental.is_some());
            chord.left = -accidentals.map(|head| head.accidental_x).fold(left, f64::min);
            let flag = smufl::flag(event.value.log2_whole, chord.up)
                .filter(|_| chord.beam.is_none() && !event.is_rest() && chord.up)
                .map_or(0.0, |(flag, _)| flag.bounds().x1);
            let dots = f64::from(event.value.dots.min(4));
            let dotted = if dots > 0.0 { chord.dots_x + dots * DOT_STEP } else { right };
            chord.right = dotted.max(chord.half + flag);
            place_dots(chord, &mut taken);
        }
    }
}

/// Air before the first dot, staff spaces. Assumed.
const DOT_AIR: f64 = 0.35;
/// From a dot to the next, staff spaces. Assumed.
pub(in crate::picture) const DOT_STEP: f64 = 0.55;

/// Dots stand in spaces: that above a head on a line, or below where it belongs to the lower of two
/// voices or the one above is taken.
fn place_dots(chord: &mut Chord, taken: &mut BTreeSet<i32>) {
    let below = chord.shared_bar && !chord.up;
    for head in chord.heads.iter_mut().rev() {
        let (first, second) = match (head.step.rem_euclid(2), below) {
            (0, false) => (head.step + 1, head.step - 1),
            (0, true) => (head.step - 1, head.step + 1),
            _ => (head.step, head.step - 2),
        };
        head.dot_step = if taken.contains(&first) && !taken.contains(&second) { second } else { first };
        taken.insert(head.dot_step);
    }
}
