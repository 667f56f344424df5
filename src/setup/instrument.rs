//! The instrument: its strings and its bridge.

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use crate::score::{Pitch, variants};

/// The four instruments of the family.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, EnumCount, VariantArray,
)]
#[expect(missing_docs, reason = "the names are the meaning")]
pub enum Family {
    Violin,
    Viola,
    Cello,
    DoubleBass,
}

impl Family {
    /// All four, highest first.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// The instrument's name in lower case.
    pub fn word(self) -> &'static str {
        match self {
            Self::Violin => "violin",
            Self::Viola => "viola",
            Self::Cello => "cello",
            Self::DoubleBass => "double bass",
        }
    }

    /// Held under the chin: the bow arm is highest on the lowest string. Cello and double bass face
    /// away from the player, so there it is highest on the highest string.
    pub fn on_shoulder(self) -> bool {
        matches!(self, Self::Violin | Self::Viola)
    }
}

/// An instrument: its strings and its bridge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// Which of the four.
    pub family: Family,
    /// Size or name shown to the user ("16 in", "full size").
    pub size: String,
    /// Strings, highest first: string number 1 is the first.
    pub strings: Vec<OpenString>,
    /// Vibrating length of a string, mm.
    pub string_length_mm: f64,
    /// Bridge.
    pub bridge: Bridge,
    /// Roll of the instrument, degrees: treble side lowered (violin and viola). For cello and
    /// double bass the turn that does the same to the bow planes.
    pub roll_deg: f64,
}

/// An open string.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OpenString {
    /// Name shown ("C").
    pub name: String,
    /// Pitch of the open string.
    pub pitch: Pitch,
    /// Wave impedance, kg/s; where none is given that of the catalogue's string counts
    /// ([`Instrument::impedance_kg_per_s`]).
    #[serde(default)]
    pub impedance_kg_per_s: Option<f64>,
}

/// The bridge as the bow meets it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bridge {
    /// Radius of the top curve, mm.
    pub radius_mm: f64,
    /// Distance from outer string to outer string, mm.
    pub spread_mm: f64,
    /// Height of the lowest string over the end of the fingerboard, mm.
    pub low_height_mm: f64,
    /// Height of the highest string over the end of the fingerboard, mm.
    pub high_height_mm: f64,
    /// Angle from the bridge at which the bow touches the edge of the waist, degrees.
    pub waist_limit_deg: f64,
}

impl Instrument {
    /// What is wrong with the strings, if anything is.
    pub(super) fn problem(&self) -> Option<String> {
        if !(2..=6).contains(&self.strings.len()) {
            return Some("an instrument must have 2 to 6 strings".to_owned());
        }
        let midi = |string: &OpenString| string.pitch.midi();
        if let Some(string) = self.strings.iter().find(|string| !(0.0..=127.0).contains(&midi(string))) {
            return Some(format!("the {:?} string has a pitch that no string has", string.name));
        }
        let falls = self.strings.windows(2).all(|pair| midi(&pair[0]) >= midi(&pair[1]));
        (!falls).then(|| "the strings must be listed from the highest to the lowest".to_owned())
    }
}
