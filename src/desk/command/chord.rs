//! Keys with their modifiers, and their names.

use egui::{Key, Modifiers};

/// A key with its modifiers.
pub type KeyChord = (Modifiers, Key);

/// A key in words: "Ctrl+Z", "right arrow".
pub fn key_words((modifiers, key): KeyChord) -> String {
    let mut words = String::new();
    if modifiers.command || modifiers.ctrl {
        words.push_str("Ctrl+");
    }
    if modifiers.alt {
        words.push_str("Alt+");
    }
    if modifiers.shift {
        words.push_str("Shift+");
    }
    let name = match key {
        Key::ArrowRight => "right arrow",
        Key::ArrowLeft => "left arrow",
        Key::ArrowUp => "up arrow",
        Key::ArrowDown => "down arrow",
        Key::Space => "space",
        Key::Escape => "Esc",
        Key::Questionmark => "?",
        Key::Plus => "+",
        Key::Minus => "-",
        Key::Equals => "=",
        Key::OpenBracket => "[",
        Key::CloseBracket => "]",
        Key::Period => ".",
        Key::Comma => ",",
        other => other.name(),
    };
    words + name
}
