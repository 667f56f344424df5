//! Everything about the notation that does not depend on where the time axis puts it: positions on
//! the staff, stem directions, ties, slurs, and the room each note needs.
//!
//! The rules are common practice of music engraving, no source, unless marked otherwise.

mod accidentals;
mod arcs;
mod chord;
mod groups;
mod rests;
mod room;

use std::{collections::BTreeMap, ops::Range};

use crate::score::{Between, Clef, Quarters, Score, SignKind};

pub(super) use accidentals::{key_signs, key_steps, naturals};
pub(super) use arcs::{Arc, Slide};
pub(super) use chord::{Chord, DOT_STEP, SMALL, head_half};
pub(super) use room::{LEAD_AIR, Lead};

/// Distance between two staff lines, mm. Assumed: the size of an ordinary printed part.
pub const SPACE_MM: f64 = 1.75;

/// Most voices of a staff. Assumed.
const VOICES: usize = 8;

/// Air before the key and metre behind the last barline of a system, staff spaces. Assumed.
pub(super) const NOTICE_AIR: f64 = 0.7;

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
    /// Lines of glissandi.
    pub(super) slides: Vec<Slide>,
    /// Tremolos between two notes; each is a beam group of its own.
    pub(super) tremolos: Vec<Between>,
    /// Members of each tuplet.
    pub(super) tuplets: Vec<Vec<usize>>,
    /// Clefs in force from a time on, first at zero.
    clefs: Vec<(Quarters, Clef)>,
    /// Runs of bars printed as one wide rest.
    pub(super) rests: Vec<Range<usize>>,
    /// Parallel to the bars.
    pub(super) leads: Vec<Lead>,
    /// Room left and right of the middle of the head at each onset, staff spaces.
    pub(super) room: BTreeMap<Quarters, (f64, f64)>,
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
        let tremolos = score.tremolos_between();
        let beams = groups::beams(score, &tremolos);
        let octaves = octaves(score);
        let mut chords =
            chord::chords(score, |at| clef_in(&clefs, at).bottom_line() + 7 * octaves_in(&octaves, at));
        accidentals::set(score, &mut chords);
        chord::set_stems(score, &mut chords, &beams);
        let mut ties = arcs::ties(score, &chords);
        let slurs = arcs::slurs(score, &chords, &mut ties);
        chord::separate_voices(score, &mut chords);
        accidentals::place(score, &mut chords);
        chord::set_edges(score, &mut chords);
        chord::set_grace(score, &mut chords);
        let rests = rests::runs(score);
        for event in rests.iter().flat_map(|run| events_in(score, run)) {
            chords[event].hidden = true;
        }
        let mut leads: Vec<Lead> = (0..score.bars.len()).map(|bar| room::lead(score, &clefs, bar)).collect();
        for run in &rests {
            leads[run.start + 1..run.end].fill(Lead::default());
        }
        let room = room::by_onset(score, &chords, &clefs, &leads);
        let (slides, tuplets) = (arcs::slides(score), groups::tuplets(score, &tremolos));
        Self { chords, beams, ties, slurs, slides, tremolos, tuplets, clefs, rests, leads, room }
    }

    /// The tremolo between two notes of which this is one.
    pub(super) fn tremolo_of(&self, event: usize) -> Option<Between> {
        // Of several voices one may lie in the other.
        let after = self.tremolos.partition_point(|own| own.from <= event);
        self.tremolos[..after]
            .iter()
            .rev()
            .take(VOICES)
            .find(|own| [own.from, own.to].contains(&event))
            .copied()
    }

    /// The run of bars printed as one wide rest in which a bar lies.
    pub(super) fn rest_of(&self, bar: usize) -> Option<&Range<usize>> {
        let after = self.rests.partition_point(|run| run.start <= bar);
        self.rests.get(after.checked_sub(1)?).filter(|run| run.contains(&bar))
    }

    /// A bar inside a wide rest, which has no barline before it.
    pub(super) fn is_inside_rest(&self, bar: usize) -> bool {
        self.rest_of(bar).is_some_and(|run| run.start < bar)
    }

    /// Clef in force at a time.
    pub(super) fn clef_at(&self, at: Quarters) -> Clef {
        clef_in(&self.clefs, at)
    }

    /// Clef changes in a window.
    pub(super) fn clefs_between(
        &self,
        from: Quarters,
        to: Quarters,
    ) -> impl Iterator<Item = (Quarters, Clef)> {
        self.clefs.iter().skip(1).copied().filter(move |(at, _)| *at >= from && *at < to)
    }

    /// Staff spaces behind the barline before a bar for its key and metre, where a system ends there.
    pub(super) fn notice_room(&self, bar: usize) -> f64 {
        let lead = &self.leads[bar];
        let key = lead.key.map_or(0.0, |(_, old, new)| key_signs(old, new) as f64 + NOTICE_AIR);
        let time = lead.time.map_or(0.0, |_| 1.8 + NOTICE_AIR);
        key + time
    }

    /// Staff spaces from the middle of the first head of a bar to the left edge of what belongs to
    /// it: the head itself, accidentals and grace notes.
    pub(super) fn first_note_room(&self, bar: usize, start: Quarters) -> f64 {
        let room = self.room.get(&start).map_or(0.0, |room| room.0);
        (room - self.leads.get(bar).map_or(0.0, |lead| lead.room)).max(0.0)
    }
}

/// Indices of the events that start in a run of bars.
fn events_in(score: &Score, run: &Range<usize>) -> Range<usize> {
    let (from, to) = (score.bars[run.start].start, score.bars[run.end - 1].end());
    score.events.partition_point(|event| event.onset < from)
        ..score.events.partition_point(|event| event.onset < to)
}

/// From when to when notes are printed how many octaves lower than they sound, in order.
fn octaves(score: &Score) -> Vec<(Quarters, Quarters, i8)> {
    let line = |sign: &crate::score::Sign| match sign.kind {
        SignKind::OctaveLine { octaves, end } => Some((sign.at, end, octaves)),
        _ => None,
    };
    score.signs.iter().filter_map(line).collect()
}

fn octaves_in(lines: &[(Quarters, Quarters, i8)], at: Quarters) -> i32 {
    let after = lines.partition_point(|(from, ..)| *from <= at);
    let line = after.checked_sub(1).map(|line| lines[line]).filter(|(_, to, _)| at < *to);
    line.map_or(0, |(_, _, octaves)| i32::from(octaves))
}

/// The clef in force at a time, of clefs in their order.
fn clef_in(clefs: &[(Quarters, Clef)], at: Quarters) -> Clef {
    let after = clefs.partition_point(|(from, _)| *from <= at);
    clefs.get(after.saturating_sub(1)).map_or(Clef::TREBLE, |(_, clef)| *clef)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Event, EventId, Letter, Note, NoteValue, Pitch};

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
            let score = Score { events: vec![chord(steps).into()], ..Score::default() };
            assert_eq!(Engraving::new(&score).chords[0].up, up, "{steps:?}");
        }
    }

    /// Common practice, no source: the upper note of a second stands right of the stem.
    #[test]
    fn seconds_stand_on_both_sides_of_the_stem() {
        for (steps, displaced) in [(&[0, 1][..], [false, true]), (&[6, 7], [true, false])] {
            let score = Score { events: vec![chord(steps).into()], ..Score::default() };
            let engraving = Engraving::new(&score);
            let found: Vec<bool> = engraving.chords[0].heads.iter().map(|head| head.displaced).collect();
            assert_eq!(found, displaced, "{steps:?}");
        }
    }
}
