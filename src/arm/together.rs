//! Notes that sound together: what makes a double stop possible, and what would work instead.

use crate::{
    score::{Event, EventId, Note, NoteValue, Pitch, Quarters, Score, attacks, interval_words},
    setup::Setup,
};

use super::{
    Finger, Hand, LevelFan, Plane, Position,
    neck::{Marks, Neck, planes},
    refused::{Way, ways},
};

/// Two to four notes taken together, as the bow and the hand find them.
#[derive(Clone, Debug, PartialEq)]
pub struct Together {
    /// Names of the notes, lowest first.
    pub names: Vec<String>,
    /// The interval of two notes ("major sixth"), else none.
    pub interval: Option<String>,
    /// Where each pair of strings lies one after another: one entry for a double stop, two or more
    /// for a chord that is broken from low to high.
    pub pairs: Vec<PairPlane>,
    /// String of each note, 1 is the highest, and its finger.
    pub fingers: Vec<(u8, Finger)>,
    /// Height of each note above its open string, half steps.
    pub heights: Vec<f64>,
    /// Where the hand is, if anything is stopped.
    pub hand: Option<Hand>,
    /// Its position, if anything is stopped.
    pub position: Option<Position>,
    /// Why they cannot be played together, and what would work.
    pub problem: Option<String>,
    /// What would work, as notes to take in their place; empty where they can be played.
    pub ways: Vec<Way>,
}

/// One bow plane of notes that sound together.
#[derive(Clone, Debug, PartialEq)]
pub struct PairPlane {
    /// The plane.
    pub plane: Plane,
    /// Its strings: "D+G".
    pub name: String,
    /// Angle of the bow in the instrument's frame, degrees.
    pub angle_deg: f64,
    /// Degrees until a third string sounds (or the bow touches the waist), toward larger and smaller
    /// angles.
    pub margins_deg: (f64, f64),
    /// How long it sounds, s.
    pub seconds: f64,
}

/// Time for the lower strings of a broken chord before the upper ones, s; at most this share of the
/// chord. Assumed; that the lower strings come first and shortly is common practice.
const BREAK_S: f64 = 0.18;
const BREAK_SHARE: f64 = 0.35;

/// Looks at notes to be played together (lowest first) for `seconds`.
pub fn together(setup: &Setup, notes: &[Note], seconds: f64) -> Together {
    let mut notes = notes.to_vec();
    notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
    let event = Event::new(EventId(0), Quarters::ZERO, NoteValue::QUARTER, notes.clone());
    let score = Score { events: vec![event.into()], ..Score::default() };
    let placement = super::place(&attacks(&score), setup).pop();
    let fan = LevelFan::new(&setup.instrument);
    let seconds = if seconds.is_finite() { seconds.max(0.0) } else { 0.0 };
    let strings = placement.as_ref().map_or(&[][..], |placement| &placement.strings);
    let order = planes(strings);
    let share = chord_seconds(seconds, order.len());
    let pairs = order
        .into_iter()
        .zip(share)
        .map(|(plane, seconds)| {
            let level = fan.level(plane);
            PairPlane {
                plane,
                name: level.name.clone(),
                angle_deg: level.angle_deg,
                margins_deg: (level.margin_up_deg, level.margin_down_deg),
                seconds,
            }
        })
        .collect();
    let fingers: Vec<(u8, Finger)> = placement
        .as_ref()
        .map(|p| p.strings.iter().copied().zip(p.fingers.iter().copied()).collect())
        .unwrap_or_default();
    let open = |string: u8| setup.instrument.strings.get(usize::from(string).saturating_sub(1));
    let height = |(note, &(string, _)): (&Note, &(u8, Finger))| {
        open(string).map_or(0.0, |open| (note.pitch.midi() - open.pitch.midi()).max(0.0))
    };
    let heights = notes.iter().zip(&fingers).map(height).collect();
    let pitches: Vec<Pitch> = notes.iter().map(|note| note.pitch).collect();
    let problem = placement.as_ref().and_then(|placement| placement.problem.clone());
    let neck = Neck::new(setup);
    let ways = if problem.is_some() { ways(&neck, &notes, &Marks::default()) } else { Vec::new() };
    Together {
        names: pitches.iter().map(|pitch| pitch.name()).collect(),
        interval: match pitches[..] {
            [low, high] => Some(interval_words(low, high)),
            _ => None,
        },
        pairs,
        hand: placement
            .as_ref()
            .filter(|_| fingers.iter().any(|(_, finger)| *finger != Finger::Open))
            .map(|placement| placement.hand),
        position: placement.as_ref().and_then(|placement| placement.position),
        fingers,
        heights,
        problem,
        ways,
    }
}

/// How long each bow plane of a chord sounds, s: the lower ones shortly, the last one the rest.
pub fn chord_seconds(seconds: f64, planes: usize) -> Vec<f64> {
    let Some(before) = planes.checked_sub(1) else { return Vec::new() };
    let each = if before == 0 { 0.0 } else { BREAK_S.min(seconds * BREAK_SHARE / before as f64) };
    let mut shares = vec![each; before];
    shares.push(seconds - each * before as f64);
    shares
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::Family;

    fn notes(midi: &[i32]) -> Vec<Note> {
        midi.iter().map(|&midi| Note::new(Pitch::from_midi(midi, false))).collect()
    }

    /// Violin bridge of radius 42 and spread 33.5 mm: the pair of two strings is the mean of their
    /// tangents, facts of geometry.
    #[test]
    fn a_double_stop_has_its_plane_its_margins_and_its_interval() {
        let mut setup = Setup::for_family(Family::Violin);
        (setup.instrument.bridge.low_height_mm, setup.instrument.bridge.high_height_mm) = (5.0, 5.0);
        let sixth = together(&setup, &notes(&[64, 73]), 2.0);
        assert_eq!(sixth.interval.as_deref(), Some("major sixth"));
        assert_eq!(sixth.pairs.len(), 1);
        assert!((sixth.pairs[0].angle_deg).abs() < 1e-9, "{:?}", sixth.pairs);
        assert!((sixth.pairs[0].margins_deg.0 - 15.57).abs() < 0.01);
        assert_eq!((sixth.pairs[0].seconds, sixth.problem), (2.0, None));
        assert_eq!(sixth.fingers.len(), 2);
    }

    #[test]
    fn two_open_strings_need_no_hand() {
        let fifth = together(&Setup::for_family(Family::Cello), &notes(&[36, 43]), 1.0);
        assert_eq!((fifth.hand, fifth.interval.as_deref()), (None, Some("perfect fifth")));
        assert_eq!(fifth.fingers, [(4, Finger::Open), (3, Finger::Open)]);
    }

    #[test]
    fn a_chord_of_four_is_two_pairs_that_last_as_long_as_the_chord() {
        let chord = together(&Setup::for_family(Family::Violin), &notes(&[55, 62, 71, 79]), 1.5);
        let names: Vec<&str> = chord.pairs.iter().map(|pair| pair.name.as_str()).collect();
        assert_eq!(names, ["D+G", "E+A"]);
        assert!((chord.pairs.iter().map(|pair| pair.seconds).sum::<f64>() - 1.5).abs() < 1e-12);
        assert!(chord.pairs[0].seconds < chord.pairs[1].seconds);
    }

    #[test]
    fn what_cannot_sound_together_says_what_would_work() {
        let far = together(&Setup::for_family(Family::Violin), &notes(&[55, 88]), 1.0);
        assert!(far.problem.is_some_and(|problem| problem.contains("roll it")));
        for seconds in [f64::NAN, -1.0, 0.0] {
            let any = together(&Setup::for_family(Family::Viola), &notes(&[48, 55]), seconds);
            assert!(any.pairs.iter().all(|pair| pair.seconds.is_finite()));
        }
        assert_eq!(together(&Setup::for_family(Family::Viola), &[], 1.0).pairs, []);
    }
}
