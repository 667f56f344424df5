//! The keys of the seven levels.

use egui::Key;
use strum::{EnumIter, IntoEnumIterator as _};

use super::{
    chord::KeyChord,
    entry::{Entry, Group, PLAIN, SHIFT, entry},
};

/// The key of one of the seven levels, from the highest string to the lowest.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, EnumIter)]
pub enum LevelKey {
    #[default]
    First,
    Second,
    Third,
    Fourth,
    Fifth,
    Sixth,
    Seventh,
}

impl LevelKey {
    /// The key of the level with this index, counted from the highest string.
    pub fn of(index: usize) -> Option<Self> {
        Self::iter().nth(index)
    }

    /// Index of the level.
    pub fn index(self) -> usize {
        self as usize
    }

    /// What is to be known of looking at it.
    pub fn show(self) -> Entry {
        let tip = "In the level view, from the highest string to the lowest";
        let (words, keys): (_, &[KeyChord]) = match self {
            Self::First => ("Show level 1", &[(PLAIN, Key::Num1)]),
            Self::Second => ("Show level 2", &[(PLAIN, Key::Num2)]),
            Self::Third => ("Show level 3", &[(PLAIN, Key::Num3)]),
            Self::Fourth => ("Show level 4", &[(PLAIN, Key::Num4)]),
            Self::Fifth => ("Show level 5", &[(PLAIN, Key::Num5)]),
            Self::Sixth => ("Show level 6", &[(PLAIN, Key::Num6)]),
            Self::Seventh => ("Show level 7", &[(PLAIN, Key::Num7)]),
        };
        entry(Group::View, words, tip, keys)
    }

    /// What is to be known of holding it against another.
    pub fn hold(self) -> Entry {
        let tip = "Held against the level that is shown";
        let (words, keys): (_, &[KeyChord]) = match self {
            Self::First => ("Hold level 1", &[(SHIFT, Key::Num1), (SHIFT, Key::Exclamationmark)]),
            Self::Second => ("Hold level 2", &[(SHIFT, Key::Num2)]),
            Self::Third => ("Hold level 3", &[(SHIFT, Key::Num3)]),
            Self::Fourth => ("Hold level 4", &[(SHIFT, Key::Num4)]),
            Self::Fifth => ("Hold level 5", &[(SHIFT, Key::Num5)]),
            Self::Sixth => ("Hold level 6", &[(SHIFT, Key::Num6)]),
            Self::Seventh => ("Hold level 7", &[(SHIFT, Key::Num7)]),
        };
        entry(Group::View, words, tip, keys)
    }
}
