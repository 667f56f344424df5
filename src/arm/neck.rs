//! What lies under the left hand: all ways in which notes can be played on the strings.

use crate::{
    score::Note,
    setup::{Positions, Setup},
};

use super::{
    Plane,
    hand::{Finger, Grip, Stop, grips},
};

/// Highest harmonic, half steps above the open string: the eighth partial. Assumed limit.
const HIGHEST_HARMONIC: f64 = 36.0;
/// Pitches closer than this count as the same, half steps.
pub(super) const SAME_PITCH: f64 = 0.01;

/// One way of playing an attack.
#[derive(Clone, Debug, Default)]
pub(super) struct Fingering {
    /// String of each note head.
    pub strings: Vec<u8>,
    /// Ways to stop the notes that are not open; empty where all are.
    pub grips: Vec<Grip>,
    /// Open strings over which another finger is printed.
    pub not_as_printed: u8,
    /// [`Plane::index`] of the first and the last bow plane.
    pub entry: u8,
    pub exit: u8,
}

/// Highest a note is stopped on a string that is not the highest, half steps: what lies higher is played
/// on a higher string. Assumed.
const HIGHEST_ON_LOWER: f64 = 24.0;

/// What string choice needs of the set-up.
pub(super) struct Neck<'a> {
    pub setup: &'a Setup,
    /// MIDI numbers of the open strings, highest first.
    pub open: Vec<f64>,
    pub reach: f64,
    pub positions: Positions,
}

impl<'a> Neck<'a> {
    pub fn new(setup: &'a Setup) -> Self {
        Self {
            setup,
            open: setup.instrument.strings.iter().map(|string| string.pitch.midi()).collect(),
            reach: f64::from(setup.player.reach_half_steps),
            positions: setup.player.positions,
        }
    }

    /// Height of a note on a string, half steps, where it can be played there.
    fn height(&self, note: &Note, marks: &Marks, string: usize) -> Option<f64> {
        let height = note.pitch.midi() - self.open[string];
        let open = height.abs() < SAME_PITCH;
        let fits = if marks.harmonic || note.harmonic {
            (-SAME_PITCH..=HIGHEST_HARMONIC).contains(&height)
        } else {
            let reach = if string == 0 { self.reach } else { self.reach.min(HIGHEST_ON_LOWER) };
            (-SAME_PITCH..=reach).contains(&height)
        };
        let must_be_open = marks.open || note.fingers.first().is_some_and(|finger| finger == "0");
        let bound = note.string.is_none_or(|number| usize::from(number) == string + 1);
        let can_be_open =
            must_be_open && self.open.iter().any(|o| (o - note.pitch.midi()).abs() < SAME_PITCH);
        (fits && bound && (open || !can_be_open)).then_some(height)
    }

    /// All strings (counted from 0) on which a note can be played, highest first.
    pub fn strings_of(&self, note: &Note, marks: &Marks) -> Vec<usize> {
        (0..self.open.len()).filter(|&string| self.height(note, marks, string).is_some()).collect()
    }

    /// The highest string (counted from 0) on which the hand takes a note alone.
    pub fn playable_on(&self, note: &Note, marks: &Marks) -> Option<usize> {
        let notes = std::slice::from_ref(note);
        (0..self.open.len()).find(|&string| self.fingering(notes, marks, &[string]).is_some())
    }

    /// All ways of playing the notes together (or broken, from three notes on).
    pub fn fingerings(&self, notes: &[Note], marks: &Marks) -> Vec<Fingering> {
        let count = self.open.len();
        let mut found = Vec::new();
        match notes.len() {
            0 => {}
            1 => found.extend((0..count).filter_map(|s| self.fingering(notes, marks, &[s]))),
            2 => {
                for upper in 0..count.saturating_sub(1) {
                    found.extend(self.fingering(notes, marks, &[upper + 1, upper]));
                    found.extend(self.fingering(notes, marks, &[upper, upper + 1]));
                }
            }
            many => {
                for lowest in many.saturating_sub(1)..count {
                    let strings: Vec<usize> = (0..many).map(|i| lowest - i).collect();
                    found.extend(self.fingering(notes, marks, &strings));
                }
            }
        }
        found
    }

    /// The fingering of notes on these strings (counted from 0), where the hand can take it.
    fn fingering(&self, notes: &[Note], marks: &Marks, strings: &[usize]) -> Option<Fingering> {
        let mut stops = Vec::new();
        let mut not_as_printed = 0;
        for (note, &string) in notes.iter().zip(strings) {
            let height = self.height(note, marks, string)?;
            let printed = note.fingers.first().and_then(|mark| Finger::from_mark(mark));
            if height <= SAME_PITCH {
                not_as_printed += u8::from(printed.is_some_and(|finger| finger != Finger::Open));
            } else {
                // A touched harmonic lies where the finger touches, which the score does not say.
                let is_harmonic = marks.harmonic || note.harmonic;
                let height =
                    if is_harmonic { height.min(self.reach.clamp(1.0, HIGHEST_ON_LOWER)) } else { height };
                stops.push(Stop { height, string, printed });
            }
        }
        let grips = grips(self.setup.instrument.family, self.positions, self.reach, &stops);
        if grips.is_empty() && !stops.is_empty() {
            return None;
        }
        let strings = strings.iter().map(|&s| s as u8 + 1).collect();
        Some(Fingering { not_as_printed, ..Fingering::on(strings, grips) })
    }

    /// Something to show for notes that cannot be played: each on a string of its own where the
    /// strings suffice, else on the nearest string.
    pub fn guess(&self, notes: &[Note]) -> Fingering {
        let count = self.open.len().clamp(1, 6) as u8;
        let mut strings: Vec<u8> = notes
            .iter()
            .map(|note| {
                let below = self.open.iter().position(|open| *open <= note.pitch.midi() + SAME_PITCH);
                note.string.unwrap_or(below.map_or(count, |s| s as u8 + 1)).clamp(1, count)
            })
            .collect();
        for i in 1..strings.len() {
            if strings[i] == strings[i - 1] && notes[i].string.is_none() {
                strings[i] = strings[i].saturating_sub(1).max(1);
            }
        }
        Fingering::on(strings, Vec::new())
    }
}

/// Marks of an attack that bear on the string.
#[derive(Default)]
pub(super) struct Marks {
    pub open: bool,
    pub harmonic: bool,
}

impl Fingering {
    fn on(strings: Vec<u8>, grips: Vec<Grip>) -> Self {
        let planes = planes(&strings);
        let index = |plane: Option<&Plane>| plane.map_or(0, |plane| plane.index() as u8);
        Self { grips, not_as_printed: 0, entry: index(planes.first()), exit: index(planes.last()), strings }
    }
}

/// Bow planes for strings taken together: one string, one pair, or a broken chord from low to high.
/// A chord of four is broken in the middle, two and two; a chord of three shares its middle string
/// (common practice, no source).
pub(super) fn planes(strings: &[u8]) -> Vec<Plane> {
    let mut ordered = strings.to_vec();
    ordered.sort_unstable();
    ordered.dedup();
    let pairs: Vec<Plane> =
        ordered.windows(2).filter(|two| two[1] == two[0] + 1).map(|two| Plane::Pair(two[0])).rev().collect();
    if pairs.is_empty() || pairs.len() + 1 != ordered.len() {
        return ordered.into_iter().rev().map(Plane::String).collect();
    }
    match pairs[..] {
        [low, _, high] => vec![low, high],
        _ => pairs,
    }
}
