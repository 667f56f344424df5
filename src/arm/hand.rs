//! The left hand: which finger stops a note, in which position.
//!
//! A hand has a place: where its first finger (in thumb position its thumb) lies, in half steps above
//! the open string. Each instrument has its hand shapes, with the notes every finger reaches from
//! there and what that strains. Finger patterns are common practice, no source: a fourth under the
//! hand on violin and viola, a minor third on the cello (a major third extended), a whole tone on
//! the bass; thumb position on cello and bass. The strains only rank and are assumed.

use crate::setup::{Family, Positions};

/// A finger of the left hand.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[expect(missing_docs, reason = "the names are the meaning")]
pub enum Finger {
    Open,
    Thumb,
    First,
    Second,
    Third,
    Fourth,
}

impl Finger {
    /// As printed over the note: 0 for an open string, T for the thumb.
    pub fn mark(self) -> &'static str {
        ["0", "T", "1", "2", "3", "4"][self as usize]
    }

    /// In words: "finger 2", "the thumb", "the open string".
    pub fn words(self) -> String {
        match self {
            Self::Open => "the open string".to_owned(),
            Self::Thumb => "the thumb".to_owned(),
            finger => format!("finger {}", finger.mark()),
        }
    }

    /// The finger of a printed mark.
    pub fn from_mark(mark: &str) -> Option<Self> {
        [Self::Open, Self::Thumb, Self::First, Self::Second, Self::Third, Self::Fourth]
            .into_iter()
            .find(|finger| finger.mark() == mark.trim())
    }
}

/// Where the hand is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hand {
    /// Place of the first finger, or of the thumb in thumb position, half steps above the open string.
    pub place: u8,
    /// The thumb lies on the string.
    pub thumb: bool,
}

impl Hand {
    /// First position: the first finger a whole tone above the open string.
    pub const FIRST: Self = Self { place: 2, thumb: false };

    /// True when going to `other` is a shift; the hand only adjusts by a half step.
    pub fn shifts_to(self, other: Self) -> bool {
        self.thumb != other.thumb || self.place.abs_diff(other.place) > 1
    }
}

/// Fingers on their notes from one place of the hand.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Grip {
    pub hand: Hand,
    /// Finger of each note, parallel to the notes.
    pub fingers: Vec<Finger>,
    /// How much the hand is stretched, for ranking.
    pub strain: f64,
}

/// A note to be stopped: height over the open string in half steps, string from 0, finger printed.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stop {
    pub height: f64,
    pub string: usize,
    pub printed: Option<Finger>,
}

/// What a finger reaches: half steps from the place of the hand, and the strain.
type Reach = (Finger, i8, f64);

/// A shape of the hand.
struct Shape {
    thumb: bool,
    /// Places it is used at.
    places: std::ops::RangeInclusive<u8>,
    /// Strain of the shape itself, below and from the place given.
    strain: (f64, u8, f64),
    /// Half steps from first to last finger at the nut, where that is less than with the thumb.
    widest: f64,
    reaches: &'static [Reach],
}

use Finger::{First, Fourth, Second, Third, Thumb};

/// The highest place of a hand considered. Assumed limit.
const HIGHEST: u8 = 40;

const SHOULDER: &[Shape] = &[Shape {
    thumb: false,
    places: 1..=HIGHEST,
    strain: (0.0, 0, 0.0),
    widest: f64::MAX,
    reaches: &[
        (First, -1, 0.2),
        (First, 0, 0.0),
        (Second, 1, 0.0),
        (Second, 2, 0.0),
        (Third, 1, 1.0),
        (Third, 2, 0.25),
        (Third, 3, 0.0),
        (Third, 4, 0.1),
        (Fourth, 3, 0.5),
        (Fourth, 4, 0.12),
        (Fourth, 5, 0.05),
        (Fourth, 6, 0.8),
    ],
}];

const CELLO: &[Shape] = &[
    Shape {
        thumb: false,
        places: 1..=14,
        strain: (0.0, 0, 0.0),
        // A major third, extended.
        widest: 4.2,
        reaches: &[
            (First, -1, 0.3),
            (First, 0, 0.0),
            (Second, 1, 0.0),
            (Second, 2, 0.2),
            (Third, 2, 0.0),
            (Third, 3, 0.25),
            (Fourth, 3, 0.0),
            (Fourth, 4, 0.3),
        ],
    },
    // Before the fourth position the thumb comes round only where it must.
    Shape { thumb: true, places: 2..=HIGHEST, strain: (1.2, 7, 0.3), widest: f64::MAX, reaches: THUMB },
];

const BASS: &[Shape] = &[
    Shape {
        thumb: false,
        places: 1..=12,
        strain: (0.0, 0, 0.0),
        widest: f64::MAX,
        reaches: &[(First, -1, 0.5), (First, 0, 0.0), (Second, 1, 0.0), (Fourth, 2, 0.0), (Fourth, 3, 0.5)],
    },
    Shape { thumb: true, places: 10..=HIGHEST, strain: (0.3, 10, 0.3), widest: f64::MAX, reaches: THUMB },
];

const THUMB: &[Reach] = &[
    (Thumb, 0, 0.0),
    (First, 1, 0.1),
    (First, 2, 0.0),
    (Second, 3, 0.0),
    (Second, 4, 0.0),
    (Third, 4, 0.1),
    (Third, 5, 0.0),
    (Third, 6, 0.3),
];

/// A player whose reach goes beyond this stretches to the tenths. Assumed.
const STRETCHES_FROM: f64 = 19.0;

/// Half steps from first to last finger that the hand takes at the nut, notes on one or two strings.
/// Assumed; stretched, on the violin just so far that the tenths from B3 up are in the hand (common
/// practice, no source), and on the viola as far on the longer string (328 against 375 mm).
fn span(family: Family, reach: f64) -> f64 {
    let stretches = reach > STRETCHES_FROM;
    match family {
        Family::Violin if stretches => 6.4,
        Family::Viola if stretches => 6.4 * 328.0 / 375.0,
        Family::Violin => 5.5,
        Family::Viola => 5.2,
        // With the thumb: octaves from the whole tone above the nut upward.
        Family::Cello => 4.5,
        Family::DoubleBass => 2.5,
    }
}

/// Half steps that the last finger reaches above the place of the hand, far up the string.
const MOST_ABOVE: f64 = 9.0;
/// A printed finger that another one plays instead: dearer than the shifts it may ask for.
pub(super) const NOT_AS_PRINTED: f64 = 6.0;
/// One finger across two strings.
const ACROSS: f64 = 0.15;
/// Two fingers side by side at one height, on strings that are no neighbours.
const SIDE_BY_SIDE: f64 = 0.3;
/// Each half step a finger reaches beyond its pattern, where they lie closer together.
const BEYOND: f64 = 0.15;
/// Notes closer than this are at the same height, half steps.
const SAME: f64 = 0.25;

/// All ways in which the hand takes these notes together, of a note alone with every finger; none
/// where it cannot. `reach` is the player's, half steps.
pub(super) fn grips(family: Family, positions: Positions, reach: f64, stops: &[Stop]) -> Vec<Grip> {
    let (lowest, highest) =
        stops.iter().fold((f64::MAX, f64::MIN), |(lo, hi), s| (lo.min(s.height), hi.max(s.height)));
    // Half steps lie closer together up the string, by the twelfth root of two for each one (equal
    // temperament), so the hand spans more of them.
    let too_far = |span: f64| highest - lowest > (span * (lowest / 12.0).exp2()).floor();
    if stops.is_empty() || too_far(span(family, reach)) {
        return Vec::new();
    }
    let shapes = match family {
        Family::Violin | Family::Viola => SHOULDER,
        Family::Cello => CELLO,
        Family::DoubleBass => BASS,
    };
    let mut found = Vec::new();
    let highest_place = positions.highest_place().unwrap_or(HIGHEST);
    for shape in shapes.iter().filter(|shape| !shape.thumb || positions.with_thumb()) {
        if too_far(shape.widest) {
            continue;
        }
        // From a low first finger up to a hand that reaches the highest note with its last finger.
        let last = (lowest.round() + 1.0).clamp(0.0, f64::from(HIGHEST)) as u8;
        let first = (highest.round() - MOST_ABOVE).clamp(1.0, f64::from(HIGHEST)) as u8;
        for place in first.max(*shape.places.start())..=last.min(*shape.places.end()).min(highest_place) {
            let own = if place < shape.strain.1 { shape.strain.0 } else { shape.strain.2 };
            let hand = Hand { place, thumb: shape.thumb };
            let mut add = |fingers, strain| found.push(Grip { hand, fingers, strain: strain + own });
            if let [alone] = stops {
                let mut easiest = reaching(shape, place, alone).collect::<Vec<_>>();
                easiest.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
                easiest.dedup_by_key(|(finger, _)| *finger);
                easiest.into_iter().for_each(|(finger, strain)| add(vec![finger], strain));
            } else if let Some((strain, fingers)) = best_fingers(shape, place, stops) {
                add(fingers, strain);
            }
        }
    }
    found
}

/// Fingers that reach a note from one place of the hand, each with its strain; one may come twice.
fn reaching(shape: &Shape, place: u8, stop: &Stop) -> impl Iterator<Item = (Finger, f64)> {
    // How many half steps lie in the space of one at first position.
    let closer = ((f64::from(place) - 2.0).max(0.0) / 12.0).exp2();
    let away = stop.height - f64::from(place);
    let printed = stop.printed;
    shape.reaches.iter().filter_map(move |&(finger, offset, own)| {
        let offset = f64::from(offset);
        let beyond = away - offset;
        let most = if offset > 0.0 { offset * (closer - 1.0) } else { 0.0 };
        if beyond < -0.5 || beyond > most.max(0.5) {
            return None;
        }
        let other = printed.is_some_and(|printed| printed != finger);
        let as_printed = if other { NOT_AS_PRINTED } else { 0.0 };
        Some((finger, own + BEYOND * (beyond - 0.5).max(0.0) + as_printed))
    })
}

/// The easiest fingers for notes together from one place; at most a handful of notes, so all are tried.
fn best_fingers(shape: &Shape, place: u8, stops: &[Stop]) -> Option<(f64, Vec<Finger>)> {
    let mut best = None;
    search(shape, place, stops, &mut Vec::with_capacity(stops.len()), 0.0, &mut best);
    best
}

fn search(
    shape: &Shape,
    place: u8,
    stops: &[Stop],
    chosen: &mut Vec<Finger>,
    strain: f64,
    best: &mut Option<(f64, Vec<Finger>)>,
) {
    if best.as_ref().is_some_and(|(least, _)| strain >= *least) {
        return;
    }
    let Some(stop) = stops.get(chosen.len()) else {
        *best = Some((strain, chosen.clone()));
        return;
    };
    for (finger, own) in reaching(shape, place, stop) {
        let mut extra = own;
        let level = |before: &Stop| (stop.height - before.height).abs() < SAME;
        let fits = chosen.iter().zip(stops).all(|(&other, before)| match level(before) {
            true if other == finger => lies_across(stops, before, stop),
            true => stop.string.abs_diff(before.string) > 1,
            false => other != finger && (finger > other) == (stop.height > before.height),
        });
        if !fits {
            continue;
        }
        if chosen.contains(&finger) {
            extra += ACROSS;
        } else if chosen.iter().zip(stops).any(|(_, before)| level(before)) {
            extra += SIDE_BY_SIDE;
        }
        chosen.push(finger);
        search(shape, place, stops, chosen, strain + extra, best);
        chosen.pop();
    }
}

/// One finger can lie on both of these notes at one height: no string between them is free or stopped
/// lower (common practice, no source).
fn lies_across(stops: &[Stop], a: &Stop, b: &Stop) -> bool {
    let (low, high) = (a.string.min(b.string), a.string.max(b.string));
    let stopped = |string| stops.iter().any(|s| s.string == string && s.height > a.height - SAME);
    low < high && (low + 1..high).all(stopped)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The easiest fingers with the hand at `place`.
    fn fingers(family: Family, place: u8, notes: &[(f64, usize)]) -> Option<String> {
        let stops: Vec<Stop> =
            notes.iter().map(|&(height, string)| Stop { height, string, printed: None }).collect();
        let grips =
            grips(family, Positions::All, 24.0, &stops).into_iter().filter(|grip| grip.hand.place == place);
        let best = grips.min_by(|a, b| a.strain.total_cmp(&b.strain))?;
        Some(best.fingers.iter().map(|finger| finger.mark()).collect())
    }

    /// Common practice, no source: first position of each instrument.
    #[test]
    fn first_position_has_its_usual_fingers() {
        let each = |family: Family, heights: &[f64]| -> Vec<String> {
            heights.iter().filter_map(|&height| fingers(family, 2, &[(height, 0)])).collect()
        };
        assert_eq!(each(Family::Violin, &[1.0, 2.0, 3.0, 4.0, 5.0, 7.0]), ["1", "1", "2", "2", "3", "4"]);
        assert_eq!(each(Family::Viola, &[2.0, 4.0, 5.0, 7.0]), ["1", "2", "3", "4"]);
        assert_eq!(each(Family::Cello, &[2.0, 3.0, 4.0, 5.0]), ["1", "2", "3", "4"]);
        assert_eq!(each(Family::DoubleBass, &[2.0, 3.0, 4.0]), ["1", "2", "4"]);
    }

    /// Common practice, no source: a fifth is one finger across, a sixth two fingers side by side, an
    /// octave first and fourth; on the cello the octave is thumb and third.
    #[test]
    fn double_stops_have_their_usual_fingers() {
        let in_first = |family, notes: &[(f64, usize)]| fingers(family, 2, notes);
        assert_eq!(in_first(Family::Violin, &[(2.0, 1), (2.0, 0)]).as_deref(), Some("11"));
        assert_eq!(in_first(Family::Violin, &[(2.0, 1), (4.0, 0)]).as_deref(), Some("12"));
        assert_eq!(in_first(Family::Violin, &[(5.0, 1), (2.0, 0)]).as_deref(), Some("31"));
        assert_eq!(in_first(Family::Violin, &[(2.0, 1), (7.0, 0)]).as_deref(), Some("14"));
        assert_eq!(fingers(Family::Cello, 7, &[(7.0, 1), (12.0, 0)]).as_deref(), Some("T3"));
        assert_eq!(in_first(Family::DoubleBass, &[(2.0, 1), (8.0, 0)]), None);
        // Across a string that is free one finger cannot lie; two fingers can, side by side.
        assert_ne!(in_first(Family::Violin, &[(2.0, 1), (2.0, 3)]).as_deref(), Some("11"));
    }

    /// Common practice, no source: chords of three and four. A finger may lie across three strings
    /// where the one between is stopped as high or higher; second and third finger lie close together
    /// for a chromatic step, or side by side.
    #[test]
    fn chords_have_their_usual_fingers() {
        let violin = |notes: &[(f64, usize)]| fingers(Family::Violin, 2, notes);
        assert_eq!(violin(&[(2.0, 2), (4.0, 1), (2.0, 0)]).as_deref(), Some("121"));
        assert_eq!(violin(&[(2.0, 3), (2.0, 2), (3.0, 1), (4.0, 0)]).as_deref(), Some("1123"));
        assert_eq!(violin(&[(3.0, 3), (2.0, 2), (4.0, 1)]).as_deref(), Some("213"));
        let side_by_side = violin(&[(3.0, 3), (2.0, 2), (3.0, 1)]);
        assert!(side_by_side.is_some_and(|fingers| ["213", "312"].contains(&fingers.as_str())));
        assert_eq!(fingers(Family::Cello, 2, &[(2.0, 3), (2.0, 2), (2.0, 1)]).as_deref(), Some("111"));
        // A finger cannot lie across a string stopped lower.
        assert_ne!(violin(&[(4.0, 2), (2.0, 1), (4.0, 0)]).as_deref(), Some("212"));
    }

    #[test]
    fn a_printed_finger_is_taken_where_it_reaches() {
        let stop = |printed| Stop { height: 7.0, string: 0, printed };
        let best = |printed| {
            let grips = grips(Family::Violin, Positions::All, 24.0, &[stop(printed)]);
            grips.into_iter().min_by(|a, b| a.strain.total_cmp(&b.strain)).expect("it is easy").fingers[0]
        };
        assert_eq!(best(Some(Finger::First)), Finger::First);
        assert_eq!(best(Some(Finger::Fourth)), Finger::Fourth);
        assert_eq!(Finger::from_mark(" 3 "), Some(Finger::Third));
        assert_eq!(Finger::from_mark("x"), None);
    }

    #[test]
    fn absurd_heights_have_no_grip_or_some() {
        for height in [f64::NAN, f64::INFINITY, -3.0, 1e9] {
            let stop = Stop { height, string: 0, printed: Some(Finger::Open) };
            for grip in grips(Family::Cello, Positions::All, 24.0, &[stop]) {
                assert!(grip.strain.is_finite());
            }
        }
    }
}
