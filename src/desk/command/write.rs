//! The keys that write notes. Letters, figures and signs say what is written; what has several answers waits
//! for one more key, and the line under the staff tells which.

use egui::{Key, Modifiers};

use crate::score::{Direction, Letter, Mark};

use super::chord::KeyChord;

/// What a key does while notes are written. What belongs to a note belongs to the one before the caret.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WriteKey {
    /// A note on this letter, near the note before it.
    Note(Letter),
    /// A rest.
    Rest,
    /// The value of the next notes, as a power of two of a whole note.
    Value(i8),
    /// Dot for the next notes, on or off.
    Dot,
    /// The next notes are triplets: one group, all, none.
    Triplet,
    /// The next notes are so many in the time of fewer.
    Tuplet(u16),
    /// The note goes on: tied to one more of the value chosen.
    Tie,
    /// The note sounds half steps higher or lower on its letter.
    Alter(i8),
    /// The note moves.
    Move {
        /// Upward is positive.
        steps: i32,
        /// Half steps rather than letters.
        half: bool,
    },
    /// One more note on this letter in the note, above or below what sounds there.
    Second(Letter, Side),
    /// A slur begins at the note, or ends there.
    Slur,
    /// A hairpin begins at the note, or ends there.
    Hairpin,
    /// An octave line begins at the note, or ends there.
    OctaveLine,
    /// A mark on the note, or no longer.
    Put(Put),
    /// Asks for the loudness at the note.
    AskDynamic,
    /// Asks for words at the note.
    AskWords,
    /// Waits for one more key.
    Wait(Wait),
    /// Writes over what is there, or pushes it on.
    Over,
    /// The note before goes.
    TakeBack,
}

impl WriteKey {
    /// What one more key is waited for after this one.
    pub fn waits_for(self) -> Wait {
        if let Self::Wait(wait) = self { wait } else { Wait::No }
    }

    /// Words follow it.
    pub fn asks(self) -> bool {
        matches!(self, Self::AskDynamic | Self::AskWords)
    }
}

/// Above or below.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Above the highest note that sounds.
    Over,
    /// Below the lowest.
    Under,
}

/// What is said of a note in words.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Said {
    /// How loud.
    Dynamic,
    /// Words over the staff.
    Words,
}

/// What one more key is waited for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Wait {
    /// Nothing.
    #[default]
    No,
    /// The letter of a second note.
    Second(Side),
    /// A mark.
    Mark,
    /// How many notes a group has.
    Number,
}

/// What a mark key puts on a note.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Put {
    /// A printed bow mark.
    Bow(Direction),
    /// A mark.
    Mark(Mark),
    /// The bow is lifted and set again.
    Retake,
    /// In the bow of the note before, after a stop.
    Hook,
    /// A tremolo of so many strokes besides the beams.
    Tremolo(u8),
    /// A tremolo with the note before.
    TremoloBetween,
}

/// A writing key: what it does, its words, the keys that call it, the first of them shown.
pub struct WriteEntry {
    /// What it does.
    pub key: WriteKey,
    /// What the line under the staff says of it; empty where another entry says it too.
    pub words: &'static str,
    /// Keys that call it.
    pub chords: &'static [KeyChord],
}

const PLAIN: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;

const fn entry(key: WriteKey, words: &'static str, chords: &'static [KeyChord]) -> WriteEntry {
    WriteEntry { key, words, chords }
}

/// The keys while nothing is waited for.
pub const KEYS: &[WriteEntry] = &[
    entry(WriteKey::Value(0), "whole", &[(PLAIN, Key::Num1)]),
    entry(WriteKey::Value(-1), "half", &[(PLAIN, Key::Num2)]),
    entry(WriteKey::Value(-2), "quarter", &[(PLAIN, Key::Num4)]),
    entry(WriteKey::Value(-3), "eighth", &[(PLAIN, Key::Num8)]),
    entry(WriteKey::Value(-4), "16th", &[(PLAIN, Key::Num6)]),
    entry(WriteKey::Value(-5), "32nd", &[(PLAIN, Key::Num3)]),
    entry(WriteKey::Dot, "dot", &[(PLAIN, Key::Period)]),
    entry(WriteKey::Rest, "rest", &[(PLAIN, Key::R)]),
    entry(WriteKey::Triplet, "triplet", &[(PLAIN, Key::T)]),
    entry(WriteKey::Wait(Wait::Number), "number in a group", &[(PLAIN, Key::N)]),
    entry(WriteKey::Over, "write over", &[(PLAIN, Key::I), (PLAIN, Key::Insert)]),
    entry(WriteKey::Alter(1), "sharper", &[(PLAIN, Key::Plus), (SHIFT, Key::Plus), (PLAIN, Key::Equals)]),
    entry(WriteKey::Alter(-1), "flatter", &[(PLAIN, Key::Minus)]),
    entry(WriteKey::Tie, "keep on (tie)", &[(PLAIN, Key::K)]),
    entry(WriteKey::Wait(Wait::Second(Side::Over)), "one over it", &[(PLAIN, Key::O)]),
    entry(WriteKey::Wait(Wait::Second(Side::Under)), "one under it", &[(PLAIN, Key::U)]),
    entry(WriteKey::Slur, "slur", &[(PLAIN, Key::S)]),
    entry(WriteKey::Hairpin, "hairpin", &[(PLAIN, Key::H)]),
    entry(WriteKey::OctaveLine, "octave line", &[(PLAIN, Key::V)]),
    entry(WriteKey::AskDynamic, "loudness", &[(PLAIN, Key::L)]),
    entry(WriteKey::Wait(Wait::Mark), "mark", &[(PLAIN, Key::M)]),
    entry(WriteKey::AskWords, "text", &[(PLAIN, Key::X)]),
    entry(WriteKey::TakeBack, "take back", &[(PLAIN, Key::Backspace)]),
    entry(WriteKey::Note(Letter::A), "", &[(PLAIN, Key::A)]),
    entry(WriteKey::Note(Letter::B), "", &[(PLAIN, Key::B)]),
    entry(WriteKey::Note(Letter::C), "", &[(PLAIN, Key::C)]),
    entry(WriteKey::Note(Letter::D), "", &[(PLAIN, Key::D)]),
    entry(WriteKey::Note(Letter::E), "", &[(PLAIN, Key::E)]),
    entry(WriteKey::Note(Letter::F), "", &[(PLAIN, Key::F)]),
    entry(WriteKey::Note(Letter::G), "", &[(PLAIN, Key::G)]),
    entry(WriteKey::Move { steps: 1, half: false }, "", &[(PLAIN, Key::ArrowUp)]),
    entry(WriteKey::Move { steps: -1, half: false }, "", &[(PLAIN, Key::ArrowDown)]),
    entry(WriteKey::Move { steps: 7, half: false }, "", &[(PLAIN, Key::PageUp)]),
    entry(WriteKey::Move { steps: -7, half: false }, "", &[(PLAIN, Key::PageDown)]),
];

/// The keys while a second note above is waited for.
const OVER: &[WriteEntry] = &[
    entry(WriteKey::Second(Letter::A, Side::Over), "", &[(PLAIN, Key::A)]),
    entry(WriteKey::Second(Letter::B, Side::Over), "", &[(PLAIN, Key::B)]),
    entry(WriteKey::Second(Letter::C, Side::Over), "", &[(PLAIN, Key::C)]),
    entry(WriteKey::Second(Letter::D, Side::Over), "", &[(PLAIN, Key::D)]),
    entry(WriteKey::Second(Letter::E, Side::Over), "", &[(PLAIN, Key::E)]),
    entry(WriteKey::Second(Letter::F, Side::Over), "", &[(PLAIN, Key::F)]),
    entry(WriteKey::Second(Letter::G, Side::Over), "", &[(PLAIN, Key::G)]),
];

/// The keys while a second note below is waited for.
const UNDER: &[WriteEntry] = &[
    entry(WriteKey::Second(Letter::A, Side::Under), "", &[(PLAIN, Key::A)]),
    entry(WriteKey::Second(Letter::B, Side::Under), "", &[(PLAIN, Key::B)]),
    entry(WriteKey::Second(Letter::C, Side::Under), "", &[(PLAIN, Key::C)]),
    entry(WriteKey::Second(Letter::D, Side::Under), "", &[(PLAIN, Key::D)]),
    entry(WriteKey::Second(Letter::E, Side::Under), "", &[(PLAIN, Key::E)]),
    entry(WriteKey::Second(Letter::F, Side::Under), "", &[(PLAIN, Key::F)]),
    entry(WriteKey::Second(Letter::G, Side::Under), "", &[(PLAIN, Key::G)]),
];

/// The keys while a mark is waited for.
const MARKS: &[WriteEntry] = &[
    entry(WriteKey::Put(Put::Bow(Direction::Down)), "down-bow", &[(PLAIN, Key::D)]),
    entry(WriteKey::Put(Put::Bow(Direction::Up)), "up-bow", &[(PLAIN, Key::U)]),
    entry(WriteKey::Put(Put::Mark(Mark::Staccato)), "staccato", &[(PLAIN, Key::S)]),
    entry(WriteKey::Put(Put::Mark(Mark::Tenuto)), "tenuto", &[(PLAIN, Key::T)]),
    entry(WriteKey::Put(Put::Mark(Mark::Accent)), "accent", &[(PLAIN, Key::A)]),
    entry(WriteKey::Put(Put::Mark(Mark::StrongAccent)), "marcato", &[(PLAIN, Key::M)]),
    entry(WriteKey::Put(Put::Mark(Mark::Staccatissimo)), "wedge", &[(PLAIN, Key::W)]),
    entry(WriteKey::Put(Put::Mark(Mark::Trill)), "trill", &[(PLAIN, Key::I)]),
    entry(WriteKey::Put(Put::Mark(Mark::Slide)), "glissando", &[(PLAIN, Key::G)]),
    entry(WriteKey::Put(Put::Mark(Mark::Fermata)), "fermata", &[(PLAIN, Key::F)]),
    entry(WriteKey::Put(Put::Mark(Mark::BreathMark)), "comma", &[(PLAIN, Key::C)]),
    entry(WriteKey::Put(Put::Mark(Mark::Harmonic)), "harmonic", &[(PLAIN, Key::O)]),
    entry(WriteKey::Put(Put::Retake), "retake", &[(PLAIN, Key::R)]),
    entry(WriteKey::Put(Put::Hook), "hooked", &[(PLAIN, Key::H)]),
    entry(WriteKey::Put(Put::Tremolo(1)), "", &[(PLAIN, Key::Num1)]),
    entry(WriteKey::Put(Put::Tremolo(2)), "", &[(PLAIN, Key::Num2)]),
    entry(WriteKey::Put(Put::Tremolo(3)), "tremolo (1, 2: fewer strokes)", &[(PLAIN, Key::Num3)]),
    entry(WriteKey::Put(Put::TremoloBetween), "tremolo with the note before", &[(PLAIN, Key::B)]),
];

/// The keys while the number of notes of a group is waited for.
const NUMBERS: &[WriteEntry] = &[
    entry(WriteKey::Tuplet(2), "", &[(PLAIN, Key::Num2)]),
    entry(WriteKey::Tuplet(3), "", &[(PLAIN, Key::Num3)]),
    entry(WriteKey::Tuplet(4), "", &[(PLAIN, Key::Num4)]),
    entry(WriteKey::Tuplet(5), "", &[(PLAIN, Key::Num5)]),
    entry(WriteKey::Tuplet(6), "", &[(PLAIN, Key::Num6)]),
    entry(WriteKey::Tuplet(7), "", &[(PLAIN, Key::Num7)]),
    entry(WriteKey::Tuplet(8), "", &[(PLAIN, Key::Num8)]),
    entry(WriteKey::Tuplet(9), "", &[(PLAIN, Key::Num9)]),
];

impl Wait {
    /// The keys that mean something now.
    pub fn keys(self) -> &'static [WriteEntry] {
        match self {
            Self::No => KEYS,
            Self::Second(Side::Over) => OVER,
            Self::Second(Side::Under) => UNDER,
            Self::Mark => MARKS,
            Self::Number => NUMBERS,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_writing_key_is_given_twice() {
        for keys in [KEYS, OVER, UNDER, MARKS, NUMBERS] {
            let chords: Vec<&KeyChord> = keys.iter().flat_map(|entry| entry.chords).collect();
            for (index, chord) in chords.iter().enumerate() {
                assert!(!chords[index + 1..].contains(chord), "{chord:?}");
            }
        }
    }
}
