//! Everything about the notation that does not depend on where the time axis puts it: positions on
//! the staff, stem directions, ties, slurs, and the room each note needs.
//!
//! The rules are common practice of music engraving, no source, unless marked otherwise.

use std::collections::{BTreeMap, HashMap};

use crate::score::{Clef, Event, EventId, Quarters, Score, SignKind};

use super::{accidentals, groups};

/// Width from the middle of a black note head to its edge, staff spaces (the font's head).
pub(in crate::picture) const HEAD_HALF: f64 = 0.594;
/// Size of grace notes and cue notes against full ones.
pub(super) const SMALL: f64 = 0.64;
/// Distance between grace notes, staff spaces.
const GRACE_STEP: f64 = 1.25;
/// Distance between columns of accidentals, staff spaces.
const ACCIDENTAL_STEP: f64 = 1.15;

/// One note head.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Head {
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
pub(super) struct Chord {
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
    pub(super) fn low(&self) -> i32 {
        self.heads.first().map_or(4, |head| head.step)
    }

    pub(super) fn high(&self) -> i32 {
        self.heads.last().map_or(4, |head| head.step)
    }

    /// Room of heads displaced to the left of the stem, staff spaces.
    fn displaced_left(&self) -> f64 {
        let displaced = !self.up && self.heads.iter().any(|head| head.displaced);
        if displaced { 2.0 * HEAD_HALF } else { 0.0 }
    }

    /// Staff spaces taken left of the head's edge.
    fn left_room(&self) -> f64 {
        let columns = self.heads.iter().filter(|head| head.accidental.is_some()).map(|head| head.column + 1);
        columns.max().map_or(0.0, |n| n as f64 * ACCIDENTAL_STEP + 0.15) + self.displaced_left()
    }

    /// Left edge of an accidental against the middle of the head, staff spaces.
    pub(super) fn accidental_x(&self, head: &Head) -> f64 {
        -HEAD_HALF - 1.25 - (head.column as f64) * ACCIDENTAL_STEP - self.displaced_left()
    }
}

/// A tie or a slur between two events.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Arc {
    /// Index of the first event.
    pub from: usize,
    /// Index of the last event.
    pub to: usize,
    /// Ties: half spaces above the bottom line at both ends.
    pub step: i32,
    /// Curves upward.
    pub above: bool,
    /// A phrase mark rather than a bow slur.
    pub phrase: bool,
}

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

/// The engraving of a score: laid out once for each revision, drawn in any window.
#[derive(Clone, Debug, PartialEq, Default)]
pub struct Engraving {
    /// Parallel to the events of the score.
    pub(super) chords: Vec<Chord>,
    /// Members of each beam group, in order.
    pub(super) beams: Vec<Vec<usize>>,
    /// Ties by their first event.
    pub(super) ties: Vec<Arc>,
    /// Slurs, inner ones first.
    pub(super) slurs: Vec<Arc>,
    /// Members of each tuplet.
    pub(super) tuplets: Vec<Vec<usize>>,
    /// Clefs in force from a time on, first at zero.
    clefs: Vec<(Quarters, Clef)>,
    /// Parallel to the bars.
    pub(in crate::picture) leads: Vec<Lead>,
    /// Room left and right of the middle of the head at each onset, staff spaces.
    pub(in crate::picture) room: BTreeMap<Quarters, (f64, f64)>,
}

impl Engraving {
    /// Lays out a score.
    pub fn new(score: &Score) -> Self {
        let mut clefs = vec![(Quarters::ZERO, score.clef_at(Quarters::ZERO))];
        clefs.extend(score.signs.iter().filter_map(|sign| match sign.kind {
            SignKind::Clef(clef) if sign.at > Quarters::ZERO => Some((sign.at, clef)),
            _ => None,
        }));
        clefs.sort_by_key(|(at, _)| *at);
        clefs.dedup_by(|later, kept| later.1 == kept.1);
        let mut engraving = Self { clefs, ..Self::default() };
        engraving.chords = engraving.chords_of(score);
        accidentals::set(score, &mut engraving.chords);
        engraving.beams = groups::beams(score);
        engraving.tuplets = groups::tuplets(score);
        engraving.set_stems(score);
        engraving.ties = engraving.ties_of(score);
        engraving.slurs = engraving.slurs_of(score);
        engraving.separate_voices(score);
        engraving.set_grace(score);
        engraving.leads = (0..score.bars.len()).map(|bar| engraving.lead_of(score, bar)).collect();
        engraving.room = engraving.room_of(score);
        engraving
    }

    /// Clef in force at a time.
    pub(super) fn clef_at(&self, at: Quarters) -> Clef {
        let after = self.clefs.partition_point(|(from, _)| *from <= at);
        self.clefs.get(after.saturating_sub(1)).map_or(Clef::TREBLE, |(_, clef)| *clef)
    }

    /// Clef changes in a window.
    pub(super) fn clefs_between(
        &self,
        from: Quarters,
        to: Quarters,
    ) -> impl Iterator<Item = (Quarters, Clef)> {
        self.clefs.iter().skip(1).copied().filter(move |(at, _)| *at >= from && *at < to)
    }

    fn chords_of(&self, score: &Score) -> Vec<Chord> {
        let chord = |event: &Event| {
            let bottom = self.clef_at(event.onset).bottom_line();
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

    fn set_stems(&mut self, score: &Score) {
        let voices = groups::voices_by_bar(score);
        for (index, event) in score.events.iter().enumerate() {
            let in_bar = voices.get(&score.bar_at(event.onset).unwrap_or(0)).map_or(&[][..], Vec::as_slice);
            let chord = &mut self.chords[index];
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
        for (group, members) in self.beams.iter().enumerate() {
            let low = members.iter().map(|&i| self.chords[i].low()).min().unwrap_or(4);
            let high = members.iter().map(|&i| self.chords[i].high()).max().unwrap_or(4);
            for &index in members {
                self.chords[index].beam = Some(group);
                if !self.chords[index].shared_bar && score.events[index].grace.is_none() {
                    self.chords[index].up = stem_up(low, high);
                }
            }
        }
        self.chords.iter_mut().for_each(displace_seconds);
    }

    fn ties_of(&self, score: &Score) -> Vec<Arc> {
        // Open ties by voice and pitch: (event, step).
        let mut open: HashMap<(u8, i64), (usize, i32)> = HashMap::new();
        let mut ties = Vec::new();
        for (index, event) in score.events.iter().enumerate() {
            for head in &self.chords[index].heads {
                let note = &event.notes[head.note];
                let key = (event.voice, (note.pitch.midi() * 4.0).round() as i64);
                if note.tie_stop
                    && let Some((from, step)) = open.remove(&key)
                {
                    let chord = &self.chords[from];
                    let above = if chord.shared_bar {
                        chord.up
                    } else if chord.heads.len() > 1 {
                        2 * step > chord.low() + chord.high()
                    } else {
                        !chord.up
                    };
                    ties.push(Arc { from, to: index, step, above, phrase: false });
                }
                if note.tie_start {
                    open.insert(key, (index, head.step));
                }
            }
        }
        ties.sort_by_key(|tie| tie.from);
        ties
    }

    fn slurs_of(&self, score: &Score) -> Vec<Arc> {
        let index: HashMap<EventId, usize> =
            score.events.iter().enumerate().map(|(index, event)| (event.id, index)).collect();
        let arc = |slur: &crate::score::Slur| {
            let (from, to) = (*index.get(&slur.from)?, *index.get(&slur.to)?);
            if from >= to {
                return None;
            }
            let voice = score.events[from].voice;
            let mut under =
                (from..=to).filter(|&i| score.events[i].voice == voice && !score.events[i].is_rest());
            let shared = self.chords[from].shared_bar;
            let above = if shared { self.chords[from].up } else { !under.all(|i| self.chords[i].up) };
            Some(Arc { from, to, step: 0, above, phrase: slur.phrase })
        };
        let mut slurs: Vec<Arc> = score.slurs.iter().filter_map(arc).collect();
        slurs.sort_by_key(|slur| (slur.to - slur.from, slur.from));
        slurs
    }

    /// Where heads of two voices would overlap, the lower voice moves to the right.
    fn separate_voices(&mut self, score: &Score) {
        let mut start = 0;
        while start < score.events.len() {
            let onset = score.events[start].onset;
            let len = score.events[start..].iter().take_while(|event| event.onset == onset).count();
            let full = |&i: &usize| {
                let chord = &self.chords[i];
                score.events[i].grace.is_none() && chord.shared_bar && !chord.heads.is_empty()
            };
            let members: Vec<usize> = (start..start + len).filter(full).collect();
            start += len;
            let [upper, lower] = members[..] else { continue };
            let gap = self.chords[upper].low() - self.chords[lower].high();
            let (a, b) = (score.events[upper].value, score.events[lower].value);
            let one_head = gap == 0 && (a.log2_whole, a.dots) == (b.log2_whole, b.dots);
            if gap < 2 && !one_head {
                self.chords[lower].shift = 2.0 * HEAD_HALF;
            }
        }
    }

    fn set_grace(&mut self, score: &Score) {
        // From the main note to the left.
        let (mut onset, mut left) = (None, 0.0);
        for (event, chord) in score.events.iter().zip(&mut self.chords).rev() {
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

    fn lead_of(&self, score: &Score, index: usize) -> Lead {
        let bar = &score.bars[index];
        let Some(before) = index.checked_sub(1).map(|i| &score.bars[i]) else {
            return Lead { room: 0.9, bar: 0.9, ..Lead::default() };
        };
        let mut left = 1.0;
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
        if let Some((_, clef)) = self.clefs.iter().find(|(at, _)| *at == bar.start) {
            left += 2.4;
            lead.clef = Some((left, *clef));
            left += 0.2;
        }
        lead.room = left;
        lead
    }

    fn room_of(&self, score: &Score) -> BTreeMap<Quarters, (f64, f64)> {
        let mut room: BTreeMap<Quarters, (f64, f64)> = BTreeMap::new();
        let mut need = |at: Quarters, left: f64, right: f64| {
            let entry = room.entry(at).or_insert((0.0, 0.0));
            *entry = (entry.0.max(left), entry.1.max(right));
        };
        for (event, chord) in score.events.iter().zip(&self.chords) {
            if event.grace.is_some() {
                need(event.onset, HEAD_HALF + chord.grace_left + SMALL * chord.left_room(), HEAD_HALF);
                continue;
            }
            let half = if event.value.log2_whole >= 0 { 0.9 } else { HEAD_HALF };
            let dots = f64::from(event.value.dots.min(3)) * 0.55;
            let dots = if dots > 0.0 { dots + 0.35 } else { 0.0 };
            let flagged = chord.beam.is_none() && event.value.log2_whole <= -3 && !event.is_rest();
            let flag = if flagged && chord.up { 0.9 } else { 0.0 };
            let displaced = chord.up && chord.heads.iter().any(|head| head.displaced);
            let side = if displaced { 2.0 * HEAD_HALF } else { 0.0 } + chord.shift;
            need(event.onset, half + chord.left_room(), half + f64::max(dots, flag) + side);
        }
        let inside = |at: &Quarters| score.bars.binary_search_by_key(at, |bar| bar.start).is_err();
        for (at, _) in self.clefs.iter().skip(1).filter(|(at, _)| inside(at)) {
            room.entry(*at).or_insert((0.0, 0.0)).0 += 2.8;
        }
        for (bar, lead) in score.bars.iter().zip(&self.leads) {
            room.entry(bar.start).or_insert((HEAD_HALF, HEAD_HALF)).0 += lead.room;
        }
        room
    }

    /// Staff spaces from the middle of the first head of a bar to the left edge of what belongs to
    /// it: the head itself, accidentals and grace notes.
    pub(in crate::picture) fn first_note_room(&self, bar: usize, start: Quarters) -> f64 {
        let room = self.room.get(&start).map_or(0.0, |room| room.0);
        (room - self.leads.get(bar).map_or(0.0, |lead| lead.room)).max(0.0)
    }
}

/// Stem direction of a single voice: away from the side on which the outermost head lies farther
/// from the middle line; down when both are equally far.
pub(super) fn stem_up(low: i32, high: i32) -> bool {
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Letter, Note, NoteValue, Pitch};

    fn chord(steps: &[i32]) -> Event {
        // Steps above the bottom line of the treble clef, E4.
        let pitch = |step: &i32| {
            let staff_step = 30 + step;
            let letter = Letter::ALL[staff_step.rem_euclid(7) as usize];
            Pitch::new(letter, 0.0, staff_step.div_euclid(7) as i8)
        };
        let notes = steps.iter().map(|step| Note::new(pitch(step))).collect();
        Event::new(EventId(0), Quarters::ZERO, NoteValue::QUARTER, notes)
    }

    /// Common practice, no source: below the middle line up, from it on down; a chord follows the
    /// note farther from the middle.
    #[test]
    fn stems_point_to_the_middle() {
        for (steps, up) in [
            (&[3][..], true),
            (&[4], false),
            (&[8], false),
            (&[0, 7], true),
            (&[1, 7], false),
            (&[-2, 9], true),
        ] {
            let score = Score { events: vec![chord(steps)], ..Score::default() };
            assert_eq!(Engraving::new(&score).chords[0].up, up, "{steps:?}");
        }
    }

    /// Common practice, no source: the upper note of a second stands right of the stem.
    #[test]
    fn seconds_stand_on_both_sides_of_the_stem() {
        for (steps, displaced) in [(&[0, 1][..], [false, true]), (&[6, 7], [true, false])] {
            let score = Score { events: vec![chord(steps)], ..Score::default() };
            let engraving = Engraving::new(&score);
            let found: Vec<bool> = engraving.chords[0].heads.iter().map(|head| head.displaced).collect();
            assert_eq!(found, displaced, "{steps:?}");
        }
    }
}
