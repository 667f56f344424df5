//! What players weigh when they choose string, position and finger.
//!
//! The costs only rank. Unit: leaving the hand's place for a first shift costs about 0.8.

use crate::setup::{Positions, Setup};

use super::Hand;

/// Costs of a way over the strings.
#[derive(Debug)]
pub(super) struct Taste {
    /// From bow plane to bow plane: each of the first two steps in their order (two are one string),
    /// and each further one.
    pub crossing: (f64, f64),
    /// Added to a crossing between single notes a step of one or two half steps apart.
    pub crossing_at_a_step: f64,
    /// The hand adjusted by a half step.
    pub adjust: f64,
    /// A shift, and each half step of it.
    pub shift: (f64, f64),
    /// A shift right after an open string, beside its half steps.
    pub shift_after_open: f64,
    /// Added to a shift to a fast note.
    pub fast_shift: f64,
    /// The thumb coming up on the string or going back.
    pub thumb: f64,
    /// The hand's place: 0 to 7 half steps above the open string, and each half step above that.
    pub places: ([f64; 8], f64),
    /// An open string against a stopped note, and what is added on a long note.
    pub open: (f64, f64),
    /// The fourth finger.
    pub fourth: f64,
    /// One finger gliding to the next half step on its string; farther it must shift.
    pub slide: f64,
    /// One finger for two notes in a row on neighbouring strings.
    pub across: f64,
    /// A long note on the highest string.
    pub long_on_top: f64,
}

/// Advanced players on violin and viola. Of 22 costs fitted to two published sets of fingerings (30
/// recorded violin performances: Violin Fingering Generation Through Audio-Symbolic Fusion, 2023; ten
/// violinists on 14 excerpts: TNUA Violin Fingering Dataset, doi 10.1145/3397481.3450661) those on which
/// both fits agree, with a figure from the range where they leave one; the neighbouring string a tenth
/// cheaper and the half step a fifth dearer than fitted, chosen to agree with the shares of strings and
/// intervals over real quartet parts, since our fingers reach a half step farther. Assumed: the half
/// position and the place between third and fourth cost as second position does; thumb and slide; the
/// viola player weighs as the violinist does.
const ADVANCED: Taste = Taste {
    crossing: (0.225, 0.5),
    crossing_at_a_step: 0.5,
    adjust: 0.3,
    shift: (0.8, 0.08),
    shift_after_open: 0.0,
    fast_shift: 0.5,
    thumb: 0.3,
    places: ([0.2, 0.2, 0.0, 0.2, 0.2, 0.08, 0.2, 0.35], 0.15),
    open: (0.2, 1.0),
    fourth: 0.3,
    slide: 0.35,
    across: 0.6,
    long_on_top: 0.35,
};

/// Advanced players on cello and double bass: as on the violin, but the hand that covers a third or a
/// whole tone is at home all along the neck, up to the fourth position where its heel is felt. All
/// assumed; no counted fingerings are published.
const ADVANCED_LOW: Taste =
    Taste { places: ([0.1, 0.1, 0.0, 0.1, 0.1, 0.1, 0.1, 0.1], 0.15), long_on_top: 0.0, ..ADVANCED };

/// A pupil who keeps to some positions: over the strings in the lowest position, open strings
/// welcome. Assumed.
const PUPIL: Taste = Taste {
    crossing: (0.25, 0.4),
    crossing_at_a_step: 0.0,
    adjust: 1.08,
    shift: (1.0, 0.08),
    shift_after_open: 1.0,
    fast_shift: 0.0,
    thumb: 0.3,
    places: ([0.0, 0.0, 0.0, 0.03, 0.06, 0.09, 0.12, 0.15], 0.03),
    open: (-0.05, 0.0),
    fourth: 0.0,
    slide: 0.15,
    across: 0.0,
    long_on_top: 0.0,
};

impl Taste {
    /// That of a player.
    pub fn of(setup: &Setup) -> &'static Self {
        match (setup.player.positions, setup.instrument.family.on_shoulder()) {
            (Positions::All | Positions::WithoutThumb, true) => &ADVANCED,
            (Positions::All | Positions::WithoutThumb, false) => &ADVANCED_LOW,
            _ => &PUPIL,
        }
    }

    /// Cost of a crossing between bow planes, by their place in the order of planes.
    pub fn crossing(&self, from: u8, to: u8) -> f64 {
        let steps = f64::from(from.abs_diff(to));
        self.crossing.0 * steps.min(2.0) + self.crossing.1 * (steps - 2.0).max(0.0)
    }

    /// Cost of moving the hand at leisure.
    pub fn shift(&self, from: Hand, to: Hand) -> f64 {
        if from == to {
            return 0.0;
        }
        let thumb = if from.thumb == to.thumb { 0.0 } else { self.thumb };
        let shift = self.shift.0 + thumb + self.shift.1 * f64::from(from.place.abs_diff(to.place));
        if from.shifts_to(to) { shift } else { shift.min(self.adjust) }
    }

    /// Cost of the place of the hand.
    pub fn place(&self, hand: Hand) -> f64 {
        let (low, each) = &self.places;
        let place = usize::from(hand.place);
        let above = place.saturating_sub(low.len() - 1);
        low[place.min(low.len() - 1)] + each * above as f64
    }
}
