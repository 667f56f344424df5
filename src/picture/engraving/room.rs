//! The room that bars and notes need from left to right.

use std::collections::BTreeMap;

use super::{
    accidentals,
    chord::{Chord, SMALL, head_half},
};
use crate::score::{Clef, Event, Mark, Quarters, Score};

/// What stands between a bar and the one before it, in staff spaces left of what belongs to the
/// first note.
#[derive(Clone, Debug, PartialEq, Default)]
pub(in crate::picture) struct Lead {
    /// The barline.
    pub bar: f64,
    /// Left edge of a new key signature, with the old and the new key.
    pub key: Option<(f64, i8, i8)>,
    /// Middle of a new time signature.
    pub time: Option<f64>,
    /// Left edge of a new clef, left of the barline.
    pub clef: Option<(f64, Clef)>,
    /// All of it.
    pub room: f64,
}

/// Between what stands before a bar and its first note, staff spaces. Assumed.
pub(in crate::picture) const LEAD_AIR: f64 = 1.0;

/// What stands before the bar with this index.
pub(super) fn lead(score: &Score, clefs: &[(Quarters, Clef)], index: usize) -> Lead {
    let bar = &score.bars[index];
    let Some(before) = index.checked_sub(1).map(|i| &score.bars[i]) else {
        return Lead { room: 0.9, bar: 0.9, ..Lead::default() };
    };
    let mut left = LEAD_AIR;
    let mut lead = Lead::default();
    if bar.time != before.time {
        lead.time = Some(left + 0.9);
        left += 2.2;
    }
    if bar.key != before.key {
        left += accidentals::key_signs(before.key, bar.key) as f64 + 0.4;
        lead.key = Some((left, before.key, bar.key));
        left += 0.3;
    }
    if bar.repeat_start {
        left += 1.1;
    }
    if bar.repeat_start || lead.time.is_some() || lead.key.is_some() {
        left += 0.3;
    }
    lead.bar = left;
    left += if before.repeat_end { 1.6 } else { 0.6 };
    if let Some((_, clef)) = clefs.iter().find(|(at, _)| *at == bar.start) {
        left += 2.4;
        lead.clef = Some((left, *clef));
        left += 0.2;
    }
    lead.room = left;
    lead
}

/// Staff spaces that marks of an event take before and after it. Assumed.
fn beside(event: &Event) -> (f64, f64) {
    let has = |mark: Mark| event.marks.contains(&mark);
    let before = if has(Mark::Arpeggiate) { 0.9 } else { 0.0 };
    let after = if has(Mark::Caesura) {
        2.0
    } else if has(Mark::BreathMark) {
        1.0
    } else if has(Mark::Glissando) || has(Mark::Slide) {
        1.6
    } else {
        0.0
    };
    (before, after)
}

/// Room left and right of the middle of the head at each onset, staff spaces.
pub(super) fn by_onset(
    score: &Score,
    chords: &[Chord],
    clefs: &[(Quarters, Clef)],
    leads: &[Lead],
) -> BTreeMap<Quarters, (f64, f64)> {
    let mut room: BTreeMap<Quarters, (f64, f64)> = BTreeMap::new();
    let mut need = |at: Quarters, left: f64, right: f64| {
        let entry = room.entry(at).or_insert((0.0, 0.0));
        *entry = (entry.0.max(left), entry.1.max(right));
    };
    let shown = score.events.iter().zip(chords).filter(|(_, chord)| !chord.hidden);
    for (event, chord) in shown {
        let scale = if event.grace.is_some() || event.cue { SMALL } else { 1.0 };
        let x = chord.shift - chord.grace_left;
        let (before, after) = beside(event);
        need(event.onset, scale * chord.left - x + before, scale * chord.right + x + after);
    }
    let inside = |at: &Quarters| score.bars.binary_search_by_key(at, |bar| bar.start).is_err();
    for (at, _) in clefs.iter().skip(1).filter(|(at, _)| inside(at)) {
        room.entry(*at).or_insert((0.0, 0.0)).0 += 2.8;
    }
    for (bar, lead) in score.bars.iter().zip(leads).filter(|(_, lead)| lead.room > 0.0) {
        room.entry(bar.start).or_insert((head_half(), head_half())).0 += lead.room;
    }
    room
}
