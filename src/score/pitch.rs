//! Written and sounding pitch.

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use super::variants;

/// The seven note letters, in scale order from C.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, EnumCount, VariantArray,
)]
#[expect(missing_docs, reason = "the letters explain themselves")]
pub enum Letter {
    C,
    D,
    E,
    F,
    G,
    A,
    B,
}

impl Letter {
    /// All letters from C to B.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// Half steps above C.
    pub fn half_steps(self) -> i32 {
        [0, 2, 4, 5, 7, 9, 11][self as usize]
    }

    /// The letter as it is written.
    pub fn symbol(self) -> char {
        ['C', 'D', 'E', 'F', 'G', 'A', 'B'][self as usize]
    }

    /// Alteration by a key signature, given as its number of sharps (flats negative): sharps come
    /// in the order F C G D A E B, flats the other way round (common practice, no source).
    pub fn alter_in_key(self, key: i8) -> f32 {
        use Letter::{A, B, C, D, E, F, G};
        let order = [F, C, G, D, A, E, B];
        let place = order.iter().position(|other| *other == self).unwrap_or(0) as i8;
        if key > place {
            1.0
        } else if -key > 6 - place {
            -1.0
        } else {
            0.0
        }
    }
}

/// A pitch by letter, alteration and octave; octave 4 holds middle C and A4 = 440 Hz (ISO 16).
#[derive(Clone, Copy, Debug, PartialEq, Serialize, Deserialize)]
pub struct Pitch {
    /// The letter.
    #[serde(rename = "step")]
    pub letter: Letter,
    /// Alteration in half steps (sharp 1, flat -1, quarter tones 0.5).
    pub alter: f32,
    /// Octave number, 4 from middle C upwards.
    pub octave: i8,
}

impl Pitch {
    /// A pitch from its three parts.
    pub const fn new(letter: Letter, alter: f32, octave: i8) -> Self {
        Self { letter, alter, octave }
    }

    /// The pitch of a MIDI number, spelled with sharps, or with flats where `flats` is true.
    pub fn from_midi(midi: i32, flats: bool) -> Self {
        use Letter::{A, B, C, D, E, F, G};
        let sharp =
            [(C, 0), (C, 1), (D, 0), (D, 1), (E, 0), (F, 0), (F, 1), (G, 0), (G, 1), (A, 0), (A, 1), (B, 0)];
        let flat = [
            (C, 0),
            (D, -1),
            (D, 0),
            (E, -1),
            (E, 0),
            (F, 0),
            (G, -1),
            (G, 0),
            (A, -1),
            (A, 0),
            (B, -1),
            (B, 0),
        ];
        let (step, alter) = (if flats { flat } else { sharp })[midi.rem_euclid(12) as usize];
        Self::new(step, alter as f32, (midi.div_euclid(12) - 1) as i8)
    }

    /// The pitch of a MIDI number as it is spelled in a key, given as its number of sharps (flats negative):
    /// on a letter of the key where it is one, else raised where the key has sharps or none, lowered where it
    /// has flats (common practice, no source).
    pub fn in_key(midi: i32, key: i8) -> Self {
        let sounds = |letter: &Letter| {
            let pitch = Self::new(*letter, letter.alter_in_key(key), 4);
            (pitch.midi() as i32 - midi).rem_euclid(12) == 0
        };
        let Some(letter) = Letter::ALL.into_iter().find(|letter| sounds(letter)) else {
            return Self::from_midi(midi, key < 0);
        };
        let natural = midi - letter.alter_in_key(key) as i32;
        Self::new(letter, letter.alter_in_key(key), (natural.div_euclid(12) - 1) as i8)
    }

    /// MIDI number as a real number: 12 (octave + 1) + half steps; A4 is 69, middle C 60.
    pub fn midi(self) -> f64 {
        f64::from(12 * (i32::from(self.octave) + 1) + self.letter.half_steps()) + f64::from(self.alter)
    }

    /// Frequency in Hz in equal temperament with A4 = 440 Hz (ISO 16:1975).
    pub fn hz(self) -> f64 {
        440.0 * ((self.midi() - 69.0) / 12.0).exp2()
    }

    /// Diatonic steps above C0: 28 for middle C, one more for each line or space of a staff.
    pub fn staff_step(self) -> i32 {
        i32::from(self.octave) * 7 + self.letter as i32
    }

    /// The pitch `half_steps` higher, kept on a letter near the old one.
    pub fn transposed(self, half_steps: i32) -> Self {
        if half_steps % 12 == 0 {
            return Self { octave: self.octave.saturating_add((half_steps / 12) as i8), ..self };
        }
        let whole = self.midi().round() as i32 + half_steps;
        Self::from_midi(whole, self.alter < 0.0)
    }

    /// The pitch of a name as it is typed: a letter, accidentals as `#`, `b` or their signs, and the
    /// octave ("F#4", "Bb3", "c♯5"). None where it is no such name.
    pub fn from_name(name: &str) -> Option<Self> {
        let mut rest = name.trim().chars();
        let letter = rest.next()?.to_ascii_uppercase();
        let step = Letter::ALL.into_iter().find(|step| step.symbol() == letter)?;
        let octave = rest.as_str().trim_start_matches(['#', '♯', 'b', '♭']);
        let signs = &rest.as_str()[..rest.as_str().len() - octave.len()];
        let sharps = signs.chars().filter(|sign| matches!(sign, '#' | '♯')).count() as f32;
        let flats = signs.chars().count() as f32 - sharps;
        let alter = sharps - flats;
        let octave: i8 = octave.parse().ok()?;
        ((sharps == 0.0 || flats == 0.0) && alter.abs() <= 2.0 && (-1..=9).contains(&octave))
            .then(|| Self::new(step, alter, octave))
    }

    /// The name as a musician writes it: letter, accidental signs, octave ("C♯4").
    pub fn name(self) -> String {
        let accidental = match self.alter {
            0.0 => "",
            1.0 => "♯",
            2.0 => "♯♯",
            -1.0 => "♭",
            -2.0 => "♭♭",
            a if a > 0.0 => "+",
            _ => "-",
        };
        format!("{}{}{}", self.letter.symbol(), accidental, self.octave)
    }
}

/// Names of intervals by letters.
const INTERVALS: [&str; 15] = [
    "unison",
    "second",
    "third",
    "fourth",
    "fifth",
    "sixth",
    "seventh",
    "octave",
    "ninth",
    "tenth",
    "eleventh",
    "twelfth",
    "thirteenth",
    "fourteenth",
    "double octave",
];

/// Half steps of the perfect or major interval over some letters.
fn natural_half_steps(letters: i32) -> i32 {
    12 * letters.div_euclid(7) + [0, 2, 4, 5, 7, 9, 11][letters.rem_euclid(7) as usize]
}

/// Unisons, fourths, fifths and octaves are perfect, others major or minor.
fn is_perfect(letters: i32) -> bool {
    matches!(letters.rem_euclid(7), 0 | 3 | 4)
}

/// The interval of a name such as "minor third", "perfect fifth" or "octave", by letters and half steps. A
/// name that leaves open which kind it is ("third") has no half steps. None where it is no such name.
pub fn interval_from_words(text: &str) -> Option<(i32, Option<i32>)> {
    let text = text.trim().to_lowercase();
    let (quality, name) = match text.split_once(' ') {
        Some((quality, name)) if quality != "double" => (quality, name),
        _ => ("", text.as_str()),
    };
    let letters = INTERVALS.iter().position(|known| *known == name.trim())? as i32;
    let natural = natural_half_steps(letters);
    let half_steps = match (quality, is_perfect(letters)) {
        ("", true) => Some(natural),
        ("", false) => None,
        ("perfect", true) | ("major", false) => Some(natural),
        ("minor", false) => Some(natural - 1),
        ("augmented", _) => Some(natural + 1),
        ("diminished", true) => Some(natural - 1),
        ("diminished", false) => Some(natural - 2),
        _ => return None,
    };
    Some((letters, half_steps))
}

/// The interval from a lower to a higher pitch in words ("major sixth"), by letters and half steps.
/// Beyond two octaves, and for quarter tones, by the number of half steps.
pub fn interval_words(low: Pitch, high: Pitch) -> String {
    let (low, high) = if low.midi() <= high.midi() { (low, high) } else { (high, low) };
    let half_steps = high.midi() - low.midi();
    let steps = high.staff_step() - low.staff_step();
    let name = usize::try_from(steps).ok().and_then(|steps| INTERVALS.get(steps));
    let by_half_steps = || format!("{half_steps} half steps");
    let Some(name) = name else { return by_half_steps() };
    let off = half_steps - f64::from(natural_half_steps(steps));
    let quality = match (is_perfect(steps), off) {
        (true, 0.0) if matches!(steps, 0 | 7 | 14) => return (*name).to_owned(),
        (true, 0.0) => "perfect",
        (false, 0.0) => "major",
        (false, -1.0) => "minor",
        (_, 1.0) => "augmented",
        (true, -1.0) | (false, -2.0) => "diminished",
        _ => return by_half_steps(),
    };
    format!("{quality} {name}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_read_as_they_are_written() {
        for midi in 21..=108 {
            for flats in [false, true] {
                let pitch = Pitch::from_midi(midi, flats);
                assert_eq!(Pitch::from_name(&pitch.name()), Some(pitch));
            }
        }
        let typed = ["f#4", "Bb3", "b3", "C##5", "E♭4"].map(|name| Pitch::from_name(name).map(Pitch::midi));
        assert_eq!(typed, [Some(66.0), Some(58.0), Some(59.0), Some(74.0), Some(63.0)]);
        for bad in ["", "H4", "C", "C#", "C#b4", "C###4", "C44", "4C", "♯4"] {
            assert_eq!(Pitch::from_name(bad), None, "{bad}");
        }
    }

    /// Common practice, no source: in B flat major the notes of the scale, in F sharp major E sharp, in C flat
    /// major the C flat above B.
    #[test]
    fn pitches_are_spelled_in_the_key() {
        let names = |midi: std::ops::Range<i32>, key: i8| -> String {
            midi.map(|midi| Pitch::in_key(midi, key).name()).collect::<Vec<_>>().join(" ")
        };
        assert_eq!(names(58..64, -2), "B♭3 B3 C4 D♭4 D4 E♭4");
        assert_eq!(names(65..66, 6), "E♯4");
        assert_eq!(names(71..72, -7), "C♭5");
        for key in -7..=7 {
            for midi in 0..=127 {
                assert_eq!(Pitch::in_key(midi, key).midi(), f64::from(midi), "{midi} in {key}");
            }
        }
    }

    /// Every interval that has a name is read back by it.
    #[test]
    fn intervals_are_read_by_the_names_they_are_told_by() {
        let low = Pitch::new(Letter::C, 0.0, 3);
        for letters in 0..15 {
            for alter in [-2.0, -1.0, 0.0, 1.0] {
                let high = Pitch::new(Letter::ALL[letters % 7], alter, 3 + (letters / 7) as i8);
                let half_steps = (high.midi() - low.midi()) as i32;
                let words = interval_words(low, high);
                if !words.ends_with("half steps") && half_steps >= 0 {
                    assert_eq!(
                        interval_from_words(&words),
                        Some((letters as i32, Some(half_steps))),
                        "{words}"
                    );
                }
            }
        }
        assert_eq!(interval_from_words("third"), Some((2, None)));
        for bad in ["", "minor fifth", "perfect third", "thing", "major"] {
            assert_eq!(interval_from_words(bad), None, "{bad}");
        }
    }

    /// Common practice, no source: in E flat major (three flats) B, E and A are flat; in A major F,
    /// C, G sharp.
    #[test]
    fn key_signatures_alter_the_right_letters() {
        let altered = |key| -> String {
            Letter::ALL
                .iter()
                .filter(|step| step.alter_in_key(key) != 0.0)
                .map(|step| step.symbol())
                .collect()
        };
        assert_eq!(altered(-3), "EAB");
        assert_eq!(altered(3), "CFG");
        assert_eq!(altered(0), "");
        assert_eq!((altered(7).len(), altered(-7).len()), (7, 7));
    }

    /// ISO 16:1975: A4 = 440 Hz. Equal temperament: a half step is the twelfth root of two;
    /// middle C is then 261.6256 Hz (from memory, a handbook figure).
    #[test]
    fn tuning_note_and_middle_c() {
        assert_eq!(Pitch::new(Letter::A, 0.0, 4).hz(), 440.0);
        assert!((Pitch::new(Letter::C, 0.0, 4).hz() - 261.6256).abs() < 1e-4);
        assert_eq!(Pitch::new(Letter::C, 0.0, 4).midi(), 60.0);
        assert_eq!(Pitch::new(Letter::B, 1.0, 3).midi(), 60.0);
    }

    #[test]
    fn midi_numbers_are_spelled_back_to_themselves() {
        for midi in 0..128 {
            for flats in [false, true] {
                assert_eq!(Pitch::from_midi(midi, flats).midi(), f64::from(midi));
            }
        }
    }

    /// Names of intervals: common practice, no source.
    #[test]
    fn intervals_have_their_names() {
        let pitch = |name: &str| {
            let step = Letter::ALL.into_iter().find(|step| name.starts_with(step.symbol())).unwrap();
            let alter = if name.contains('#') {
                1.0
            } else if name.contains('b') {
                -1.0
            } else {
                0.0
            };
            Pitch::new(step, alter, name[name.len() - 1..].parse().unwrap())
        };
        for (low, high, words) in [
            ("G3", "E4", "major sixth"),
            ("A3", "F4", "minor sixth"),
            ("C3", "G3", "perfect fifth"),
            ("F3", "B3", "augmented fourth"),
            ("B3", "F4", "diminished fifth"),
            ("D4", "D5", "octave"),
            ("D4", "F#5", "major tenth"),
            ("C4", "C4", "unison"),
            ("E4", "C3", "major tenth"),
            ("C2", "E4", "28 half steps"),
        ] {
            assert_eq!(interval_words(pitch(low), pitch(high)), words);
        }
        assert_eq!(
            interval_words(Pitch::new(Letter::C, 0.5, 4), Pitch::new(Letter::D, 0.0, 4)),
            "1.5 half steps"
        );
    }
}
