//! The keys that write notes.

use egui::{Key, Modifiers};

use crate::score::Letter;

use super::chord::KeyChord;

/// What a key does while notes are written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum WriteKey {
    /// A note on this letter, near the note before it.
    Note(Letter),
    /// One more note on this letter, in the selected note.
    Add(Letter),
    /// A rest.
    Rest,
    /// The next note is half as long.
    Shorter,
    /// The next note is twice as long.
    Longer,
    /// Dot for the next note, on or off.
    Dot,
    /// Tie the selected note to the one after it.
    Tie,
    /// Move the selected note by letters, or by half steps.
    Move {
        /// Upward is positive.
        steps: i32,
        /// Half steps rather than letters.
        half: bool,
    },
    /// The note before goes.
    DeleteBefore,
}

/// Keys while notes are written: what they do, the words of those that have a button, the keys.
pub const KEYS: &[(WriteKey, &str, KeyChord)] = &[
    (WriteKey::Note(Letter::A), "", (Modifiers::NONE, Key::A)),
    (WriteKey::Note(Letter::B), "", (Modifiers::NONE, Key::B)),
    (WriteKey::Note(Letter::C), "", (Modifiers::NONE, Key::C)),
    (WriteKey::Note(Letter::D), "", (Modifiers::NONE, Key::D)),
    (WriteKey::Note(Letter::E), "", (Modifiers::NONE, Key::E)),
    (WriteKey::Note(Letter::F), "", (Modifiers::NONE, Key::F)),
    (WriteKey::Note(Letter::G), "", (Modifiers::NONE, Key::G)),
    (WriteKey::Add(Letter::A), "", (Modifiers::SHIFT, Key::A)),
    (WriteKey::Add(Letter::B), "", (Modifiers::SHIFT, Key::B)),
    (WriteKey::Add(Letter::C), "", (Modifiers::SHIFT, Key::C)),
    (WriteKey::Add(Letter::D), "", (Modifiers::SHIFT, Key::D)),
    (WriteKey::Add(Letter::E), "", (Modifiers::SHIFT, Key::E)),
    (WriteKey::Add(Letter::F), "", (Modifiers::SHIFT, Key::F)),
    (WriteKey::Add(Letter::G), "", (Modifiers::SHIFT, Key::G)),
    (WriteKey::Rest, "rest", (Modifiers::NONE, Key::R)),
    (WriteKey::Shorter, "shorter", (Modifiers::NONE, Key::OpenBracket)),
    (WriteKey::Longer, "longer", (Modifiers::NONE, Key::CloseBracket)),
    (WriteKey::Dot, "dot", (Modifiers::NONE, Key::Period)),
    (WriteKey::Tie, "tie", (Modifiers::NONE, Key::T)),
    (WriteKey::Move { steps: 1, half: false }, "", (Modifiers::NONE, Key::ArrowUp)),
    (WriteKey::Move { steps: -1, half: false }, "", (Modifiers::NONE, Key::ArrowDown)),
    (WriteKey::Move { steps: 1, half: true }, "", (Modifiers::SHIFT, Key::ArrowUp)),
    (WriteKey::Move { steps: -1, half: true }, "", (Modifiers::SHIFT, Key::ArrowDown)),
    (WriteKey::Move { steps: 7, half: false }, "", (Modifiers::COMMAND, Key::ArrowUp)),
    (WriteKey::Move { steps: -7, half: false }, "", (Modifiers::COMMAND, Key::ArrowDown)),
    (WriteKey::DeleteBefore, "take back", (Modifiers::NONE, Key::Backspace)),
];
