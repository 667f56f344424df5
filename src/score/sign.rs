//! Slurs, and what is placed by time rather than on a note.

use serde::{Deserialize, Serialize};

use super::{Dynamic, EventId, Quarters};

/// Identifies a slur.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct SlurId(pub u32);

/// A slur from one event to a later one of the same voice.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Slur {
    /// Its identity.
    pub id: SlurId,
    /// First event under it.
    pub from: EventId,
    /// Last event under it.
    pub to: EventId,
    /// A phrase mark: drawn, but it says nothing about the bow (it contains other slurs, or the
    /// bow turns under it).
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub phrase: bool,
}

/// Identifies a sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct SignId(pub u32);

/// Something placed by time rather than on a note.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Sign {
    /// Its identity.
    pub id: SignId,
    /// Where it stands.
    pub at: Quarters,
    /// What it is.
    pub kind: SignKind,
}

/// Kinds of sign.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub enum SignKind {
    /// A dynamic mark that stays in force.
    Dynamic(Dynamic),
    /// A hairpin up to `end`.
    Hairpin {
        /// Opening (crescendo) or closing (diminuendo).
        opens: bool,
        /// Where it ends.
        end: Quarters,
        /// From or to nothing.
        niente: bool,
    },
    /// A tempo: `qpm` quarter notes a minute, with the printed text if any.
    Tempo {
        /// Quarter notes per minute.
        qpm: f64,
        /// As printed ("♩ = 84", "Allegro").
        text: String,
    },
    /// Words over or under the staff.
    Words(String),
    /// A rehearsal mark.
    Rehearsal(String),
    /// A clef from here on.
    Clef(Clef),
    /// An octave line: the notes up to `end` are printed nearer to the staff than they sound.
    OctaveLine {
        /// Octaves they sound higher than printed: 1 for 8va, -1 for 8vb, 2 for 15ma.
        octaves: i8,
        /// Where it ends.
        end: Quarters,
    },
}

impl SignKind {
    /// Where it ends; none where it stands at one place.
    pub fn end(&self) -> Option<Quarters> {
        match self {
            Self::Hairpin { end, .. } | Self::OctaveLine { end, .. } => Some(*end),
            Self::Dynamic(_) | Self::Tempo { .. } | Self::Words(_) | Self::Rehearsal(_) | Self::Clef(_) => {
                None
            }
        }
    }

    /// Where it ends, to be moved.
    pub fn end_mut(&mut self) -> Option<&mut Quarters> {
        match self {
            Self::Hairpin { end, .. } | Self::OctaveLine { end, .. } => Some(end),
            Self::Dynamic(_) | Self::Tempo { .. } | Self::Words(_) | Self::Rehearsal(_) | Self::Clef(_) => {
                None
            }
        }
    }
}

/// Octaves an octave line may move notes by (MusicXML 4.0, `octave-shift`: sizes 8, 15 and 22).
pub const OCTAVES: std::ops::RangeInclusive<i8> = -3..=3;

/// A clef: sign, line from the bottom, octave change.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Clef {
    /// Which sign.
    pub sign: ClefSign,
    /// Staff line it stands on, 1 at the bottom.
    pub line: i8,
    /// Octaves the printed notes sound higher (-1 for the bass-of-the-octave clef).
    pub octave: i8,
}

/// Clef signs.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the letters are the names")]
pub enum ClefSign {
    G,
    C,
    F,
}

impl Clef {
    /// Treble clef.
    pub const TREBLE: Self = Self { sign: ClefSign::G, line: 2, octave: 0 };
    /// Alto clef.
    pub const ALTO: Self = Self { sign: ClefSign::C, line: 3, octave: 0 };
    /// Tenor clef.
    pub const TENOR: Self = Self { sign: ClefSign::C, line: 4, octave: 0 };
    /// Bass clef.
    pub const BASS: Self = Self { sign: ClefSign::F, line: 4, octave: 0 };

    /// The clefs of string players by name; the last is for an instrument that sounds an octave lower than
    /// it is written.
    pub const NAMED: [(&str, Self); 5] = [
        ("treble", Self::TREBLE),
        ("alto", Self::ALTO),
        ("tenor", Self::TENOR),
        ("bass", Self::BASS),
        ("bass, an octave lower", Self { octave: -1, ..Self::BASS }),
    ];

    /// Its name: "alto"; of a rarer clef its sign and line.
    pub fn words(self) -> String {
        let named = Self::NAMED.into_iter().find(|(_, clef)| *clef == self);
        named.map_or_else(|| format!("{:?} on line {}", self.sign, self.line), |(name, _)| name.to_owned())
    }

    /// The clef of a name, "alto" or "alto clef".
    pub fn from_words(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        let name = text.trim_end_matches(" clef").trim_end();
        Self::NAMED.into_iter().find(|(known, _)| *known == name).map(|(_, clef)| clef)
    }

    /// [`super::Pitch::staff_step`] of the note on the bottom line.
    pub fn bottom_line(self) -> i32 {
        // G4, C4 and F3 are the pitches that give the signs their names.
        let named = match self.sign {
            ClefSign::G => 32,
            ClefSign::C => 28,
            ClefSign::F => 24,
        };
        named - 2 * (i32::from(self.line) - 1) + 7 * i32::from(self.octave)
    }
}
