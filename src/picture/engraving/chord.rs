//! Chords on the staff: heads, stem directions, and the room they take.

use super::groups;
use crate::score::{Clef, Event, Quarters, Score};

/// Width from the middle of a black note head to its edge, staff spaces (the font's head).
pub(in crate::picture) const HEAD_HALF: f64 = 0.594;
/// Size of grace notes and cue notes against full ones.
pub(in crate::picture) const SMALL: f64 = 0.64;
/// Distance between grace notes, staff spaces.
const GRACE_STEP: f64 = 1.25;
/// Distance between columns of accidentals, staff spaces.
const ACCIDENTAL_STEP: f64 = 1.15;

/// One note head.
#[derive(Clone, Debug, PartialEq)]
pub(in crate::picture) struct Head {
    /// Half spaces above the bottom line.
    pub step: i32,
    /// Printed accidental as an alteration in half steps.
    pub accidental: Option<f32>,
    /// Column of the accidental, 0 next to the heads.
    pub column: usize,
    /// Index of its note in the event.
    pub note: usize,
    /// On the other side of the stem, for a second.
    pub displaced: bool,
}

/// One written event as it stands on the staff.
#[derive(Clone, Debug, PartialEq, Default)]
pub(in crate::picture) struct Chord {
    /// Heads, lowest first; empty for a rest.
    pub heads: Vec<Head>,
    /// Stem direction.
    pub up: bool,
    /// Its beam group.
    pub beam: Option<usize>,
    /// Rests: half spaces by which it is moved from the middle.
    pub rest_shift: i32,
    /// Grace notes: how many staff spaces left of the main note.
    pub grace_left: f64,
    /// One of two or more voices in its bar.
    pub shared_bar: bool,
    /// Moved to the right, staff spaces, to clear another voice's heads.
    pub shift: f64,
}

impl Chord {
    pub(in crate::picture) fn low(&self) -> i32 {
        self.heads.first().map_or(4, |head| head.step)
    }

    pub(in crate::picture) fn high(&self) -> i32 {
        self.heads.last().map_or(4, |head| head.step)
    }

    /// Room of heads displaced to the left of the stem, staff spaces.
    fn displaced_left(&self) -> f64 {
        let displaced = !self.up && self.heads.iter().any(|head| head.displaced);
        if displaced { 2.0 * HEAD_HALF } else { 0.0 }
    }

    /// Staff spaces taken left of the head's edge.
    pub(super) fn left_room(&self) -> f64 {
        let columns = self.heads.iter().filter(|head| head.accidental.is_some()).map(|head| head.column + 1);
        columns.max().map_or(0.0, |n| n as f64 * ACCIDENTAL_STEP + 0.15) + self.displaced_left()
    }

    /// Left edge of an accidental against the middle of the head, staff spaces.
    pub(in crate::picture) fn accidental_x(&self, head: &Head) -> f64 {
        -HEAD_HALF - 1.25 - (head.column as f64) * ACCIDENTAL_STEP - self.displaced_left()
    }
}

/// The events of a score as chords, their heads on the lines and spaces of the clef in force.
pub(super) fn chords(score: &Score, clef_at: impl Fn(Quarters) -> Clef) -> Vec<Chord> {
    let chord = |event: &Event| {
        let bottom = clef_at(event.onset).bottom_line();
        let head = |(note, n): (usize, &crate::score::Note)| Head {
            step: (n.pitch.staff_step() - bottom).clamp(-30, 40),
            accidental: None,
            column: 0,
            note,
            displaced: false,
        };
        let mut heads: Vec<Head> = event.notes.iter().enumerate().map(head).collect();
        heads.sort_by_key(|head| head.step);
        Chord { heads, ..Chord::default() }
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
            if event.is_rest() && !event.whole_bar {
                chord.rest_shift = if chord.up { 4 } else { -4 };
            }
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

/// Where heads of two voices would overlap, the lower voice moves to the right.
pub(super) fn separate_voices(score: &Score, chords: &mut [Chord]) {
    let mut start = 0;
    while start < score.events.len() {
        let onset = score.events[start].onset;
        let len = score.events[start..].iter().take_while(|event| event.onset == onset).count();
        let full = |&i: &usize| {
            let chord = &chords[i];
            score.events[i].grace.is_none() && chord.shared_bar && !chord.heads.is_empty()
        };
        let members: Vec<usize> = (start..start + len).filter(full).collect();
        start += len;
        let [upper, lower] = members[..] else { continue };
        let gap = chords[upper].low() - chords[lower].high();
        let (a, b) = (score.events[upper].value, score.events[lower].value);
        let one_head = gap == 0 && (a.log2_whole, a.dots) == (b.log2_whole, b.dots);
        if gap < 2 && !one_head {
            chords[lower].shift = 2.0 * HEAD_HALF;
        }
    }
}

/// Grace notes stand left of their main note, from it to the left.
pub(super) fn set_grace(score: &Score, chords: &mut [Chord]) {
    let (mut onset, mut left) = (None, 0.0);
    for (event, chord) in score.events.iter().zip(chords.iter_mut()).rev() {
        if onset != Some(event.onset) {
            (onset, left) = (Some(event.onset), 0.0);
        }
        if event.grace.is_some() {
            chord.grace_left = left + GRACE_STEP + 0.3;
            left += GRACE_STEP + SMALL * chord.left_room();
        } else {
            left = left.max(chord.left_room());
        }
    }
}
