//! What a person wants to hear.

use serde::{Deserialize, Serialize};
use strum::VariantArray;

use crate::{
    analysis::Study,
    practice::{metre::Weight, tonic},
    score::Pitch,
};

use super::{Temper, Tuning, program::Levels};

/// Which pulses click.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, VariantArray)]
pub enum Beats {
    /// The first beat of each bar.
    Bars,
    /// Every beat.
    #[default]
    Beats,
    /// Every beat and its parts: halves, or thirds in 6/8, 9/8, 12/8.
    Parts,
}

impl Beats {
    /// All of them, in the order in which they are offered.
    pub const ALL: &'static [Self] = Self::VARIANTS;

    /// What clicks.
    pub fn words(self) -> &'static str {
        match self {
            Self::Bars => "bars",
            Self::Beats => "beats",
            Self::Parts => "parts of beats",
        }
    }

    /// The least weight of a pulse that clicks.
    pub fn least(self) -> Weight {
        match self {
            Self::Bars => Weight::Bar,
            Self::Beats => Weight::Beat,
            Self::Parts => Weight::Part,
        }
    }
}

/// What a person wants to hear, and how loud.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Wishes {
    /// Volume of the click, percent; 0 is none.
    pub click: u8,
    /// Volume of the tones, percent; 0 is none.
    pub tone: u8,
    /// Volume of the drone, percent.
    pub drone: u8,
    /// Which pulses click.
    pub beats: Beats,
    /// The tuning note, Hz.
    pub a4_hz: u16,
    /// The temperament.
    pub temper: Temper,
    /// The drone sounds.
    pub is_droning: bool,
    /// The note of the drone by its MIDI number; none for the first note of the key.
    pub drone_midi: Option<u8>,
}

impl Default for Wishes {
    fn default() -> Self {
        Self {
            click: 80,
            tone: 80,
            drone: 40,
            beats: Beats::default(),
            a4_hz: 440,
            temper: Temper::default(),
            is_droning: false,
            drone_midi: None,
        }
    }
}

impl Wishes {
    /// How a lesson is tuned.
    pub fn tuning(&self, study: &Study) -> Tuning {
        Tuning { a4_hz: f64::from(self.a4_hz), temper: self.temper, tonic: tonic(study, 0).0 }
    }

    /// The note of the drone: that which was chosen, spelled in the key, or the first note of the key in the
    /// low octave of the instrument.
    pub fn drone_pitch(&self, study: &Study) -> Pitch {
        let lesson = study.lesson();
        if let Some(midi) = self.drone_midi {
            return Pitch::in_key(i32::from(midi), lesson.score.bars.first().map_or(0, |bar| bar.key));
        }
        let first = tonic(study, 0).0;
        let lowest = lesson.setup.instrument.strings.last().map_or(48.0, |string| string.pitch.midi());
        let octaves = (0..9).map(|octave| Pitch::new(first.letter, first.alter, octave));
        octaves.into_iter().find(|pitch| pitch.midi() >= lowest).unwrap_or(first)
    }

    /// The volumes as factors.
    pub fn levels(&self, study: &Study) -> Levels {
        let factor = |percent: u8| (f32::from(percent.min(100)) / 100.0).powi(2);
        let drone_hz = self.is_droning.then(|| self.tuning(study).hz(self.drone_pitch(study)));
        Levels {
            click: factor(self.click),
            tone: factor(self.tone),
            drone: factor(self.drone),
            least: self.beats.least(),
            drone_hz,
        }
    }
}
