//! What is to be known of a command: its name, its place in the menus, its keys.

use egui::Modifiers;
use strum::EnumIter;

use super::chord::{KeyChord, key_words};

/// Where a command is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumIter)]
pub enum Group {
    /// Moving in time.
    Play,
    /// What the bow does.
    Bow,
    /// Undo and choosing.
    Edit,
    /// What is shown.
    View,
    /// Files.
    Lesson,
}

/// What is to be known of a command.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// Where it is listed.
    pub group: Group,
    /// Its name.
    pub words: &'static str,
    /// What it does, where the name does not say all.
    pub tip: &'static str,
    /// Keys that call it; the first one is shown.
    pub keys: &'static [KeyChord],
}

impl Group {
    /// The heading.
    pub fn words(self) -> &'static str {
        match self {
            Self::Play => "Play and step",
            Self::Bow => "Bow",
            Self::Edit => "Edit",
            Self::View => "View",
            Self::Lesson => "Lesson",
        }
    }
}

impl Entry {
    /// Name, what it does and its key, for a hover text.
    pub fn hover(&self) -> String {
        let key = self.keys.first().map_or_else(String::new, |key| format!(" ({})", key_words(*key)));
        match self.tip {
            "" => format!("{}{key}", self.words),
            tip => format!("{tip}{key}"),
        }
    }
}

pub const PLAIN: Modifiers = Modifiers::NONE;
pub const SHIFT: Modifiers = Modifiers::SHIFT;
pub const CTRL: Modifiers = Modifiers::COMMAND;
pub const ALT: Modifiers = Modifiers::ALT;
pub const ALT_SHIFT: Modifiers = Modifiers::ALT.plus(Modifiers::SHIFT);
pub const CTRL_SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

pub const fn entry(group: Group, words: &'static str, tip: &'static str, keys: &'static [KeyChord]) -> Entry {
    Entry { group, words, tip, keys }
}
