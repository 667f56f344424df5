//! What a MusicXML file says, bar by bar, before ties, slurs, signs and bar lengths are settled.

use std::collections::BTreeSet;

use crate::{
    exchange::diagnostic::Reporter,
    score::{Clef, Direction, Jumps, Mark, Note, NoteValue, Quarters, TimeSignature},
    setup::Family,
};

/// A part as written.
#[derive(Debug)]
pub(super) struct RawPart {
    /// Name in the part list, or the id.
    pub name: String,
    /// Id in the file.
    pub id: String,
    /// Instrument, where name or sound tell it.
    pub family: Option<Family>,
    /// Has unpitched notes only, or is listed as percussion.
    pub percussion: bool,
    /// Number of staves.
    pub staves: u8,
    /// Staves that stand beside the music: an ossia, cues.
    pub beside: BTreeSet<u8>,
    /// Note heads.
    pub notes: usize,
    /// Bars, in order.
    pub bars: Vec<RawBar>,
    /// Notes, chords and rests, in document order.
    pub events: Vec<RawEvent>,
    /// Names of the voices, in order of appearance; events hold their index.
    pub voices: Vec<String>,
    /// What directions and attributes place in time, in document order.
    pub placed: Vec<Placed>,
    /// Tempo marks.
    pub tempos: Vec<RawTempo>,
    /// Some note has a `<tie>`: then `<tied>` is only its picture.
    pub has_tie: bool,
    /// Remarks made while reading.
    pub report: Reporter,
}

impl RawPart {
    /// How much was read of it: notes, rests, signs and bars.
    pub(super) fn items(&self) -> usize {
        self.events.len() + self.placed.len() + self.tempos.len() + self.bars.len()
    }
}

/// A bar as written.
#[derive(Clone, Debug)]
pub(super) struct RawBar {
    pub number: String,
    pub line: u32,
    /// Byte offset of the element that holds its music.
    pub origin: usize,
    /// Ticks in a quarter note at its start, as far as the file has given them.
    pub divisions: Option<Quarters>,
    pub time: TimeSignature,
    pub key: i8,
    /// Where its last note or rest ends, from its start.
    pub content: Quarters,
    pub repeat_start: bool,
    pub repeat_end: bool,
    pub ending: Option<String>,
    pub double_barline: bool,
    pub jumps: Jumps,
}

/// A note, chord or rest as written.
#[derive(Clone, Debug)]
pub(super) struct RawEvent {
    /// Index of its bar.
    pub bar: usize,
    /// Onset from the start of the bar.
    pub at: Quarters,
    pub duration: Quarters,
    pub value: NoteValue,
    /// Index into [`RawPart::voices`].
    pub voice: usize,
    pub staff: u8,
    pub heads: Vec<Head>,
    /// Grace note, with (true) or without a stroke through its stem.
    pub grace: Option<bool>,
    /// A grace note that no note follows in its voice and bar.
    pub grace_after: bool,
    pub bow: Option<Direction>,
    pub marks: BTreeSet<Mark>,
    pub tremolo: Option<u8>,
    /// A tremolo between it and the next note.
    pub tremolo_to_next: Option<u8>,
    pub cue: bool,
    pub whole_bar: bool,
    pub pizzicato: bool,
    /// Slur ends on it.
    pub slurs: Vec<SlurEnd>,
    /// Dynamics written on the note itself.
    pub dynamics: Vec<String>,
    pub line: u32,
    /// Byte offset of its first `<note>`.
    pub origin: usize,
}

/// A note head with what is only settled later.
#[derive(Clone, Debug)]
pub(super) struct Head {
    /// The note; its ties are those of `<tie>`.
    pub note: Note,
    /// `<tied type="start">`.
    pub tied_start: bool,
    /// `<tied type="stop">`.
    pub tied_stop: bool,
    /// Part it plays in an artificial harmonic.
    pub role: Option<HarmonicRole>,
    /// It has an `<accidental>`, and stands in the octaves in which it sounds or whole octaves away.
    pub accidental: bool,
    /// Byte offset of its `<note>`.
    pub origin: usize,
}

/// Which of the pitches of a harmonic a head shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum HarmonicRole {
    Base,
    Touching,
    Sounding,
}

/// One end of a slur.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct SlurEnd {
    pub start: bool,
    pub number: u8,
}

/// A place as written: a cursor position and how far the print is moved from it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Spot {
    pub bar: usize,
    /// Cursor, from the start of the bar.
    pub at: Quarters,
    pub offset: Quarters,
    /// The offset moves the meaning too (`sound="yes"`).
    pub exact: bool,
}

/// Something placed in time by a direction or by attributes.
#[derive(Clone, Debug)]
pub(super) struct Placed {
    pub spot: Spot,
    pub staff: Option<u8>,
    /// Index of the voice it names.
    pub voice: Option<usize>,
    pub line: u32,
    /// Byte offset of its element.
    pub origin: usize,
    pub kind: PlacedKind,
}

/// Kinds of [`Placed`].
#[derive(Clone, Debug)]
pub(super) enum PlacedKind {
    /// The text of a dynamic mark.
    Dynamic(String),
    WedgeStart {
        opens: bool,
        number: u8,
        niente: bool,
    },
    WedgeStop {
        number: u8,
        niente: bool,
    },
    /// Dashes begin, with the words of the same direction.
    DashesStart {
        number: u8,
        words: String,
    },
    DashesStop {
        number: u8,
    },
    /// An octave line begins, with the octaves its notes sound higher than printed, or one ends.
    OctaveLine {
        octaves: Option<i8>,
        number: u8,
    },
    Words(String),
    Rehearsal(String),
    Pizzicato(bool),
    Clef(Clef),
}

/// A tempo mark.
#[derive(Clone, Debug)]
pub(super) struct RawTempo {
    pub spot: Spot,
    /// Quarter notes per minute and text of the printed metronome mark.
    pub printed: Option<(f64, String)>,
    /// Quarter notes per minute of the sound.
    pub played: Option<f64>,
    /// Words of the same direction.
    pub words: String,
    pub line: u32,
    /// Byte offset of its element.
    pub origin: usize,
}

/// Where in the text a sign was read: the byte offsets of the elements that begin and end it, where it
/// has such.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Origin {
    pub start: Option<usize>,
    pub end: Option<usize>,
}

impl Origin {
    /// Of a sign that has one place.
    pub(super) fn of(placed: &Placed) -> Self {
        Self { start: Some(placed.origin), end: None }
    }
}
