//! What stands on the staff: notes, chords and rests with the marks that belong to them.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use super::{Dynamic, Pitch, Quarters, variants};

/// Identifies one written note, chord or rest for as long as the lesson lives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub struct EventId(pub u32);

/// One written note, chord or rest: what has one stem.
///
/// Times are written times. Tied notes are separate events; [`super::attacks`] joins them.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Event {
    /// Its identity.
    pub id: EventId,
    /// Where it starts, from the start of the score.
    pub onset: Quarters,
    /// How long it sounds as written; zero for grace notes.
    pub duration: Quarters,
    /// The printed note value.
    pub value: NoteValue,
    /// Voice on the staff, from 0.
    pub voice: u8,
    /// The notes, lowest first; empty for a rest.
    pub notes: Vec<Note>,
    /// Set for grace notes, which take no written time.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grace: Option<Grace>,
    /// A bow mark printed here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub bow: Option<Direction>,
    /// The bow is lifted and set down again before this note (a retake).
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub retake: bool,
    /// This note goes on in the direction of the one before it, after a stop (hooked) or a
    /// pulse (portato).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub same_bow: Option<SameBow>,
    /// Articulation and technique marks.
    #[serde(default, skip_serializing_if = "BTreeSet::is_empty")]
    pub marks: BTreeSet<Mark>,
    /// How its [`Mark::Sforzando`] or [`Mark::FortePiano`] is printed, where that is not "sf" or "fp".
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sudden: Option<Sudden>,
    /// Stroke type chosen by the user; otherwise it is read from the marks.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stroke: Option<StrokeType>,
    /// Strokes of a tremolo besides the beams (1 to 8); 0 is unmeasured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tremolo: Option<u8>,
    /// Strokes of a tremolo between this note and the next of its voice, besides the beams (1 to 8). Each of
    /// the two is printed as long as both together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tremolo_to_next: Option<u8>,
    /// The user's own factor on the wanted bow speed (1 where absent).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub speed_factor: Option<f64>,
    /// Played without the bow (pizzicato in force).
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub pizzicato: bool,
    /// A small cue note, shown but not played.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub cue: bool,
    /// A whole-bar rest, drawn in the middle of its bar.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub whole_bar: bool,
    /// Line of the source file it was read from; 0 where there is none.
    #[serde(default, skip_serializing_if = "is_zero")]
    pub line: u32,
}

fn is_zero(line: &u32) -> bool {
    *line == 0
}

impl Event {
    /// A plain event with no marks.
    pub fn new(id: EventId, onset: Quarters, value: NoteValue, notes: Vec<Note>) -> Self {
        Self {
            id,
            onset,
            duration: value.length(),
            value,
            voice: 0,
            notes,
            grace: None,
            bow: None,
            retake: false,
            same_bow: None,
            marks: BTreeSet::new(),
            sudden: None,
            stroke: None,
            tremolo: None,
            tremolo_to_next: None,
            speed_factor: None,
            pizzicato: false,
            cue: false,
            whole_bar: false,
            line: 0,
        }
    }

    /// The letters of the dynamic that acts on this note alone: "sf", "ffz", "fp".
    pub fn sudden_letters(&self) -> Option<&'static str> {
        let plain = [(Mark::FortePiano, "fp"), (Mark::Sforzando, "sf")];
        let (mark, plain) = plain.into_iter().find(|(mark, _)| self.marks.contains(mark))?;
        let own = self.sudden.filter(|sudden| sudden.mark() == mark);
        Some(own.map_or(plain, Sudden::letters))
    }

    /// True where nothing sounds.
    pub fn is_rest(&self) -> bool {
        self.notes.is_empty()
    }

    /// Where it ends as written.
    pub fn end(&self) -> Quarters {
        self.onset + self.duration
    }
}

/// One note head.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// Sounding pitch.
    pub pitch: Pitch,
    /// Tied to a later note of the same pitch.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tie_start: bool,
    /// Tied from an earlier note of the same pitch.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub tie_stop: bool,
    /// String it is marked or set to be played on: 1 is the highest string.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub string: Option<u8>,
    /// Fingering as printed ("0" is open, "T" the thumb).
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fingers: Vec<String>,
    /// Printed accidental forced or in parentheses in the source.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub accidental_shown: bool,
    /// A harmonic; the pitch is the sounding one where the source tells it.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub harmonic: bool,
}

impl Note {
    /// A plain note head.
    pub fn new(pitch: Pitch) -> Self {
        Self {
            pitch,
            tie_start: false,
            tie_stop: false,
            string: None,
            fingers: Vec::new(),
            accidental_shown: false,
            harmonic: false,
        }
    }
}

/// Kinds of grace note.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Grace {
    /// Place among the grace notes at one onset, from 0.
    pub order: u8,
    /// Printed with a stroke through the stem.
    pub slash: bool,
    /// Belongs to the note before it (it stands at the end of a note, not before one).
    pub after: bool,
}

/// A printed note value: head and flags, dots, tuplet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct NoteValue {
    /// Power of two in whole notes: 1 is a double whole, 0 a whole note, -1 a half, -2 a quarter.
    pub log2_whole: i8,
    /// Augmentation dots.
    pub dots: u8,
    /// Tuplet as (actual, normal) notes: a triplet is (3, 2).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tuplet: Option<(u16, u16)>,
}

impl NoteValue {
    /// A whole note.
    pub const WHOLE: Self = Self::plain(0);
    /// A half note.
    pub const HALF: Self = Self::plain(-1);
    /// A quarter note.
    pub const QUARTER: Self = Self::plain(-2);
    /// An eighth note.
    pub const EIGHTH: Self = Self::plain(-3);
    /// A sixteenth note.
    pub const SIXTEENTH: Self = Self::plain(-4);

    /// A value without dots or tuplet.
    pub const fn plain(log2_whole: i8) -> Self {
        Self { log2_whole, dots: 0, tuplet: None }
    }

    /// The same with one augmentation dot.
    pub const fn dotted(self) -> Self {
        Self { dots: 1, ..self }
    }

    /// The length it stands for.
    pub fn length(self) -> Quarters {
        let power = i32::from(self.log2_whole) + 2;
        let base = if power >= 0 {
            Quarters::from(1_i64 << power.min(20))
        } else {
            Quarters::new(1, 1_i64 << (-power).min(20))
        };
        // n dots: base * (2 - 1/2^n)
        let dots = 1_i64 << self.dots.min(8);
        let dotted = base * Quarters::new(2 * dots - 1, dots);
        match self.tuplet {
            Some((actual, normal)) if actual > 0 => {
                dotted * Quarters::new(i64::from(normal), i64::from(actual))
            }
            _ => dotted,
        }
    }

    /// "quarter", "dotted half", "triplet eighth", "16th, 5 in the time of 4".
    pub fn words(self) -> String {
        let name = match self.log2_whole {
            1.. => "double whole",
            0 => "whole",
            -1 => "half",
            -2 => "quarter",
            -3 => "eighth",
            -4 => "16th",
            -5 => "32nd",
            -6 => "64th",
            -7 => "128th",
            _ => "256th",
        };
        let dots = match self.dots {
            0 => "",
            1 => "dotted ",
            2 => "double dotted ",
            _ => "triple dotted ",
        };
        match self.tuplet {
            None => format!("{dots}{name}"),
            Some((3, 2)) => format!("{dots}triplet {name}"),
            Some((actual, normal)) => format!("{dots}{name}, {actual} in the time of {normal}"),
        }
    }

    /// The value of a text such as "quarter", "dotted half" or "3/8" (of a whole note); none where there
    /// is no such plain or dotted value.
    pub fn from_words(text: &str) -> Option<Self> {
        let text = text.trim().to_lowercase();
        if let Ok(whole) = text.parse::<Quarters>() {
            return Self::of_length(whole * Quarters::from(4)).filter(|_| whole.is_positive());
        }
        let text = text.trim_end_matches(" note");
        let values =
            (-8..=1).flat_map(|log2_whole| (0..=2).map(move |dots| Self { dots, ..Self::plain(log2_whole) }));
        values.into_iter().find(|value| value.words() == text)
    }

    /// The plain or dotted value (up to two dots) of exactly this length, if there is one.
    pub fn of_length(length: Quarters) -> Option<Self> {
        (-8..=2)
            .flat_map(|log2_whole| (0..=2).map(move |dots| Self { log2_whole, dots, tuplet: None }))
            .find(|value| value.length() == length)
    }
}

/// Direction of the bow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Direction {
    /// Toward the tip.
    Down,
    /// Toward the frog.
    Up,
}

impl Direction {
    /// The other direction.
    pub fn turned(self) -> Self {
        match self {
            Self::Down => Self::Up,
            Self::Up => Self::Down,
        }
    }

    /// +1 toward the tip (the hair coordinate grows), -1 toward the frog.
    pub fn sign(self) -> f64 {
        match self {
            Self::Down => 1.0,
            Self::Up => -1.0,
        }
    }

    /// "down-bow" or "up-bow".
    pub fn bow_word(self) -> &'static str {
        match self {
            Self::Down => "down-bow",
            Self::Up => "up-bow",
        }
    }

    /// "down" or "up".
    pub fn word(self) -> &'static str {
        match self {
            Self::Down => "down",
            Self::Up => "up",
        }
    }
}

/// How a note goes on in the bow of the note before it without being slurred.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum SameBow {
    /// Hooked: the bow stops between the two.
    Hooked,
    /// Portato: a pulse, no stop.
    Portato,
}

/// Articulation and technique marks, with the meaning MusicXML gives them.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the trade's and MusicXML's own words")]
pub enum Mark {
    Staccato,
    Staccatissimo,
    Spiccato,
    Tenuto,
    DetachedLegato,
    Accent,
    StrongAccent,
    SoftAccent,
    Stress,
    Unstress,
    Fermata,
    BreathMark,
    Caesura,
    Trill,
    Mordent,
    Turn,
    Arpeggiate,
    NonArpeggiate,
    OpenString,
    Harmonic,
    SnapPizzicato,
    /// Plus sign: plucked by the left hand.
    LeftHandPizzicato,
    /// A sharp attack by a dynamic on one note (sf, sfz, fz, rf, rfz).
    Sforzando,
    /// Loud, then at once soft (fp, sfp).
    FortePiano,
    /// The wavy line over the notes of a trill.
    TrillLine,
    /// A wavy line from its note to the next: all notes between are touched.
    Glissando,
    /// A straight line from its note to the next: the finger slides.
    Slide,
}

impl Mark {
    /// Its name among players.
    pub fn words(self) -> &'static str {
        match self {
            Self::Staccato => "staccato dot",
            Self::Staccatissimo => "staccato wedge",
            Self::Spiccato => "staccato stroke",
            Self::Tenuto => "tenuto line",
            Self::DetachedLegato => "tenuto line with a dot",
            Self::Accent => "accent",
            Self::StrongAccent => "strong accent",
            Self::SoftAccent => "soft accent",
            Self::Stress => "stress mark",
            Self::Unstress => "unstress mark",
            Self::Fermata => "fermata",
            Self::BreathMark => "breath mark",
            Self::Caesura => "caesura",
            Self::Trill => "trill",
            Self::Mordent => "mordent",
            Self::Turn => "turn",
            Self::Arpeggiate => "arpeggio",
            Self::NonArpeggiate => "bracket against an arpeggio",
            Self::OpenString => "open string",
            Self::Harmonic => "harmonic",
            Self::SnapPizzicato => "snap pizzicato",
            Self::LeftHandPizzicato => "left-hand pizzicato",
            Self::Sforzando => "sf",
            Self::FortePiano => "fp",
            Self::TrillLine => "wavy line of a trill",
            Self::Glissando => "glissando",
            Self::Slide => "slide",
        }
    }

    /// True for the marks that ask for a stronger start.
    pub fn is_accent(self) -> bool {
        matches!(
            self,
            Self::Accent
                | Self::StrongAccent
                | Self::SoftAccent
                | Self::Stress
                | Self::Sforzando
                | Self::FortePiano
        )
    }
}

/// Letters of dynamics that act on one note, beside sf and fp (MusicXML 4.0, `dynamics`; sff, ffz and the
/// like by common practice, no source).
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, EnumCount, VariantArray,
)]
#[expect(missing_docs, reason = "the letters are the names")]
pub enum Sudden {
    Sfz,
    Sff,
    Sffz,
    Fz,
    Ffz,
    Rf,
    Rfz,
    Sfp,
    Sfzp,
    Ffp,
    Fzp,
    Fpp,
    Sfpp,
}

impl Sudden {
    /// All of them.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// As printed.
    pub fn letters(self) -> &'static str {
        match self {
            Self::Sfz => "sfz",
            Self::Sff => "sff",
            Self::Sffz => "sffz",
            Self::Fz => "fz",
            Self::Ffz => "ffz",
            Self::Rf => "rf",
            Self::Rfz => "rfz",
            Self::Sfp => "sfp",
            Self::Sfzp => "sfzp",
            Self::Ffp => "ffp",
            Self::Fzp => "fzp",
            Self::Fpp => "fpp",
            Self::Sfpp => "sfpp",
        }
    }

    /// What letters ask of one note, and which they are where not plainly sf or fp; none for letters of
    /// another kind.
    pub fn from_letters(letters: &str) -> Option<(Mark, Option<Self>)> {
        match letters {
            "sf" => Some((Mark::Sforzando, None)),
            "fp" => Some((Mark::FortePiano, None)),
            _ => {
                Self::ALL.into_iter().find(|own| own.letters() == letters).map(|own| (own.mark(), Some(own)))
            }
        }
    }

    /// What they ask for: a sharp attack, or one that is soft at once.
    pub fn mark(self) -> Mark {
        match self {
            Self::Sfz | Self::Sff | Self::Sffz | Self::Fz | Self::Ffz | Self::Rf | Self::Rfz => {
                Mark::Sforzando
            }
            Self::Sfp | Self::Sfzp | Self::Ffp | Self::Fzp | Self::Fpp | Self::Sfpp => Mark::FortePiano,
        }
    }

    /// The level after an attack that is soft at once; none after one that is not.
    pub fn level_after((mark, letters): (Mark, Option<Self>)) -> Option<Dynamic> {
        let very = matches!(letters, Some(Self::Fpp | Self::Sfpp));
        (mark == Mark::FortePiano).then_some(if very { Dynamic::Pp } else { Dynamic::P })
    }
}

/// Types of bow stroke.
#[derive(
    Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize, EnumCount, VariantArray,
)]
#[expect(missing_docs, reason = "the trade's own words")]
pub enum StrokeType {
    Detache,
    Legato,
    Portato,
    SlurredStaccato,
    Martele,
    Colle,
    Lifted,
    Spiccato,
    Sautille,
    Ricochet,
    Tremolo,
}

impl StrokeType {
    /// All types, in the order in which they are offered.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// The word a musician uses.
    pub fn word(self) -> &'static str {
        match self {
            Self::Detache => "détaché",
            Self::Legato => "legato",
            Self::Portato => "portato",
            Self::SlurredStaccato => "slurred staccato",
            Self::Martele => "martelé",
            Self::Colle => "collé",
            Self::Lifted => "short and lifted",
            Self::Spiccato => "spiccato",
            Self::Sautille => "sautillé",
            Self::Ricochet => "ricochet",
            Self::Tremolo => "tremolo",
        }
    }
}
