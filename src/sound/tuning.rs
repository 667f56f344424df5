//! How high notes sound: the tuning note, and the temperament.

use serde::{Deserialize, Serialize};
use strum::VariantArray;

use crate::score::{Letter, Pitch};

/// How the steps of the scale are tuned.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, VariantArray)]
pub enum Temper {
    /// Twelve equal half steps.
    #[default]
    Equal,
    /// Pure thirds and fifths over the first note of the key.
    Just,
    /// A row of pure fifths, as the open strings are tuned.
    Fifths,
}

impl Temper {
    /// All of them, in the order in which they are offered.
    pub const ALL: &'static [Self] = Self::VARIANTS;

    /// What it is called.
    pub fn words(self) -> &'static str {
        match self {
            Self::Equal => "equal",
            Self::Just => "just",
            Self::Fifths => "pure fifths",
        }
    }
}

/// Lowest and highest tuning note that is offered, Hz.
pub const A4_HZ: (f64, f64) = (430.0, 450.0);

/// Ratios over the first note of the key for each half step above it, of the just intonation of fifths and
/// thirds (Helmholtz and Ellis, On the Sensations of Tone, from memory). Of the two minor sevenths that are
/// in use the one a minor third over the fifth.
const JUST: [(f64, f64); 12] = [
    (1.0, 1.0),
    (16.0, 15.0),
    (9.0, 8.0),
    (6.0, 5.0),
    (5.0, 4.0),
    (4.0, 3.0),
    (45.0, 32.0),
    (3.0, 2.0),
    (8.0, 5.0),
    (5.0, 3.0),
    (9.0, 5.0),
    (15.0, 8.0),
];

/// Letters in a row of fifths.
const FIFTHS: [Letter; 7] = [Letter::F, Letter::C, Letter::G, Letter::D, Letter::A, Letter::E, Letter::B];

/// The tuning note A4, which every temperament leaves where it is.
const A4: Pitch = Pitch::new(Letter::A, 0.0, 4);

/// From pitches to frequencies.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tuning {
    /// The tuning note, Hz; held within [`A4_HZ`].
    pub a4_hz: f64,
    /// The temperament.
    pub temper: Temper,
    /// The first note of the key, whose octave is of no account.
    pub tonic: Pitch,
}

impl Tuning {
    /// The frequency of a pitch, Hz.
    pub fn hz(&self, pitch: Pitch) -> f64 {
        self.a4_hz.clamp(A4_HZ.0, A4_HZ.1) * self.over_tonic(pitch) / self.over_tonic(A4)
    }

    /// The ratio of a pitch to the first note of the key. What is no whole half step is added as an equal one.
    fn over_tonic(&self, pitch: Pitch) -> f64 {
        let over = pitch.midi() - self.tonic.midi();
        let half_steps = over.round() as i32;
        let rest = ((over - f64::from(half_steps)) / 12.0).exp2();
        rest * match self.temper {
            Temper::Equal => (f64::from(half_steps) / 12.0).exp2(),
            Temper::Just => {
                let (over, under) = JUST[half_steps.rem_euclid(12) as usize];
                over / under * f64::from(half_steps.div_euclid(12)).exp2()
            }
            Temper::Fifths => {
                let fifths = in_fifths(pitch) - in_fifths(self.tonic);
                // As many octaves as bring it to its height; whole, but for quarter tones.
                let octaves = (f64::from(half_steps - 7 * fifths) / 12.0).round();
                1.5_f64.powi(fifths) * octaves.exp2()
            }
        }
    }
}

/// The place of a pitch in the row of fifths, F without a sign at 0.
fn in_fifths(pitch: Pitch) -> i32 {
    let place = FIFTHS.iter().position(|letter| *letter == pitch.letter).unwrap_or(0) as i32;
    place + 7 * pitch.alter.round() as i32
}

#[cfg(test)]
mod tests {
    use super::*;

    fn hz(temper: Temper, a4_hz: f64, tonic: &str, name: &str) -> f64 {
        let pitch = |name: &str| Pitch::from_name(name).unwrap();
        Tuning { a4_hz, temper, tonic: pitch(tonic) }.hz(pitch(name))
    }

    fn cents(from: f64, to: f64) -> f64 {
        1200.0 * (to / from).log2()
    }

    /// ISO 16:1975: A4 = 440 Hz. The frequencies of the equal temperament as handbooks list them (from
    /// memory), and the formula of the MIDI tuning standard, 440 * 2^((n - 69) / 12).
    #[test]
    fn equal_temperament_has_its_published_frequencies() {
        for (name, wanted) in [
            ("A4", 440.0),
            ("C4", 261.6256),
            ("G3", 195.9977),
            ("E5", 659.2551),
            ("C2", 65.4064),
            ("A7", 3520.0),
        ] {
            assert!((hz(Temper::Equal, 440.0, "D4", name) - wanted).abs() < 1e-4, "{name}");
        }
        for midi in 21..=108 {
            let pitch = Pitch::from_midi(midi, false);
            let tuning = Tuning { a4_hz: 440.0, temper: Temper::Equal, tonic: A4 };
            assert!((tuning.hz(pitch) / (440.0 * (f64::from(midi - 69) / 12.0).exp2()) - 1.0).abs() < 1e-12);
        }
        assert!((hz(Temper::Equal, 415.0, "C4", "A4") - 430.0).abs() < 1e-9, "the lowest that is offered");
        assert!((hz(Temper::Equal, 442.0, "C4", "A3") - 221.0).abs() < 1e-9);
    }

    /// Ratios of small numbers: an octave 2:1, a fifth 3:2, a fourth 4:3, thirds 5:4 and 6:5, sixths 5:3 and
    /// 8:5, a whole step 9:8 (textbook).
    #[test]
    fn just_intervals_over_the_first_note_are_ratios_of_small_numbers() {
        let first = hz(Temper::Just, 440.0, "G4", "G3");
        for (name, ratio) in [
            ("G4", 2.0 / 1.0),
            ("D4", 3.0 / 2.0),
            ("C4", 4.0 / 3.0),
            ("B3", 5.0 / 4.0),
            ("Bb3", 6.0 / 5.0),
            ("E4", 5.0 / 3.0),
            ("Eb4", 8.0 / 5.0),
            ("A3", 9.0 / 8.0),
            ("F#4", 15.0 / 8.0),
            ("B5", 5.0),
        ] {
            assert!((hz(Temper::Just, 440.0, "G4", name) / first - ratio).abs() < 1e-12, "{name}");
        }
        assert_eq!(hz(Temper::Just, 440.0, "G4", "A4"), 440.0, "the tuning note stays");
    }

    /// Twelve fifths miss seven octaves by the Pythagorean comma, 23.460 cents; four fifths miss a pure third
    /// by the syntonic comma, 81:80, 21.506 cents (textbook).
    #[test]
    fn pure_fifths_miss_by_the_commas() {
        let fifths = |name: &str| hz(Temper::Fifths, 440.0, "D4", name);
        for (low, high) in [("G3", "D4"), ("D4", "A4"), ("A4", "E5"), ("C3", "G3")] {
            assert!((fifths(high) / fifths(low) - 1.5).abs() < 1e-12, "{low} {high}");
        }
        assert!((cents(fifths("Ab4"), fifths("G#4")) - 23.460).abs() < 1e-3);
        let just = hz(Temper::Just, 440.0, "D4", "F#4") / hz(Temper::Just, 440.0, "D4", "D4");
        assert!((cents(just, fifths("F#4") / fifths("D4")) - 21.506).abs() < 1e-3);
    }
}
