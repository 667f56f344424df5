//! The commands of the window. One table holds them all: menus, buttons, keys and the list of keys
//! are made from it, so they cannot disagree.

pub mod list;

use egui::{Key, Modifiers};

use crate::{lesson::Edit, score::EventId};

use crate::desk::{
    bowing::entry::WriteKey, file::windows::Then, state::history::Gesture, state::offer::Offer,
    widgets::theme::Look,
};

/// A command without data of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[expect(missing_docs, reason = "the table below says what each does")]
pub enum Action {
    New,
    Open,
    Save,
    SaveAs,
    ShowDemo,
    ExportPages,
    Report,
    Quit,
    Undo,
    Redo,
    SelectAll,
    SelectNone,
    Delete,
    Slur,
    Split,
    Turn,
    Retake,
    Hook,
    Portato,
    Settle,
    Suggest,
    KeepVersion,
    DropVersion,
    Ladder,
    Play,
    Next,
    Previous,
    ExtendNext,
    ExtendPrevious,
    NextBeat,
    PreviousBeat,
    ToStart,
    ToEnd,
    NextFinding,
    PreviousFinding,
    NextOffer,
    PreviousOffer,
    TakeOffer,
    Loop,
    Level(u8),
    HoldLevel(u8),
    LargeArm,
    Together,
    NextArmView,
    Wider,
    Narrower,
    NextLook,
    Write,
    Setup,
    Keys,
}

/// Where a command is listed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Group {
    /// Files.
    Lesson,
    /// Undo and choosing.
    Edit,
    /// What the bow does.
    Bow,
    /// Moving in time.
    Play,
    /// What is shown.
    View,
}

impl Group {
    /// All groups, in the order of the list of keys.
    pub const ALL: [Self; 5] = [Self::Play, Self::Bow, Self::Edit, Self::View, Self::Lesson];

    /// The heading.
    pub fn words(self) -> &'static str {
        match self {
            Self::Lesson => "Lesson",
            Self::Edit => "Edit",
            Self::Bow => "Bow",
            Self::Play => "Play and step",
            Self::View => "View",
        }
    }
}

/// A key with its modifiers.
pub type KeyChord = (Modifiers, Key);

/// One line of the table.
#[derive(Clone, Copy, Debug)]
pub struct Entry {
    /// The command.
    pub action: Action,
    /// Where it is listed.
    pub group: Group,
    /// Its name.
    pub words: &'static str,
    /// What it does, where the name does not say all.
    pub tip: &'static str,
    /// Keys that call it; the first one is shown.
    pub keys: &'static [KeyChord],
}

const PLAIN: Modifiers = Modifiers::NONE;
const SHIFT: Modifiers = Modifiers::SHIFT;
const CTRL: Modifiers = Modifiers::COMMAND;
const CTRL_SHIFT: Modifiers = Modifiers::COMMAND.plus(Modifiers::SHIFT);

const fn entry(
    action: Action,
    group: Group,
    words: &'static str,
    tip: &'static str,
    keys: &'static [KeyChord],
) -> Entry {
    Entry { action, group, words, tip, keys }
}

const fn level(number: u8, keys: &'static [KeyChord]) -> Entry {
    let tip = "In the level view, from the highest string to the lowest";
    let words = [
        "Show level 1",
        "Show level 2",
        "Show level 3",
        "Show level 4",
        "Show level 5",
        "Show level 6",
        "Show level 7",
    ];
    entry(Action::Level(number), Group::View, words[number as usize - 1], tip, keys)
}

const fn hold_level(number: u8, keys: &'static [KeyChord]) -> Entry {
    let tip = "Held against the level that is shown";
    let words = [
        "Hold level 1",
        "Hold level 2",
        "Hold level 3",
        "Hold level 4",
        "Hold level 5",
        "Hold level 6",
        "Hold level 7",
    ];
    entry(Action::HoldLevel(number), Group::View, words[number as usize - 1], tip, keys)
}

/// All commands.
pub const TABLE: &[Entry] = &[
    entry(Action::New, Group::Lesson, "New", "An empty passage to write in", &[(CTRL, Key::N)]),
    entry(Action::Open, Group::Lesson, "Open…", "A lesson or a MusicXML file", &[(CTRL, Key::O)]),
    entry(Action::Save, Group::Lesson, "Save", "", &[(CTRL, Key::S)]),
    entry(Action::SaveAs, Group::Lesson, "Save as…", "", &[(CTRL_SHIFT, Key::S)]),
    entry(
        Action::ExportPages,
        Group::Lesson,
        "Save pages as PDF…",
        "Staff, hair map and levels on paper",
        &[(CTRL, Key::P)],
    ),
    entry(Action::Report, Group::Lesson, "What was read", "Remarks on the file this lesson came from", &[]),
    entry(
        Action::Setup,
        Group::Lesson,
        "Instrument and player…",
        "Instrument, hair and the player's own figures",
        &[(CTRL, Key::I)],
    ),
    entry(Action::ShowDemo, Group::Lesson, "Show the demo", "", &[]),
    entry(Action::Quit, Group::Lesson, "Quit", "", &[(CTRL, Key::Q)]),
    entry(Action::Undo, Group::Edit, "Undo", "", &[(CTRL, Key::Z)]),
    entry(Action::Redo, Group::Edit, "Redo", "", &[(CTRL, Key::Y), (CTRL_SHIFT, Key::Z)]),
    entry(Action::SelectAll, Group::Edit, "Select all", "", &[(CTRL, Key::A)]),
    entry(
        Action::SelectNone,
        Group::Edit,
        "Select nothing",
        "Closes open windows too",
        &[(PLAIN, Key::Escape)],
    ),
    entry(Action::Write, Group::Edit, "Write notes", "Type lengths and pitches", &[(PLAIN, Key::W)]),
    entry(
        Action::Delete,
        Group::Edit,
        "Delete",
        "Removes the selected notes; later ones move up",
        &[(PLAIN, Key::Delete)],
    ),
    entry(
        Action::Slur,
        Group::Bow,
        "Slur",
        "The selected notes in one bow, or each in its own again",
        &[(PLAIN, Key::S)],
    ),
    entry(
        Action::Split,
        Group::Bow,
        "New bow here",
        "Breaks the slur before the selected note",
        &[(PLAIN, Key::N)],
    ),
    entry(
        Action::Turn,
        Group::Bow,
        "Turn the bow",
        "The other direction, from the selected note on",
        &[(PLAIN, Key::B)],
    ),
    entry(
        Action::Retake,
        Group::Bow,
        "Retake",
        "Lift the bow and set it again before the selected note",
        &[(PLAIN, Key::R)],
    ),
    entry(
        Action::Hook,
        Group::Bow,
        "Hook",
        "In the bow of the note before, after a stop",
        &[(PLAIN, Key::H)],
    ),
    entry(
        Action::Portato,
        Group::Bow,
        "Portato",
        "In the bow of the note before, with a pulse",
        &[(PLAIN, Key::P)],
    ),
    entry(
        Action::Settle,
        Group::Bow,
        "Settle",
        "The bowing of the selected notes is settled: a suggestion leaves it alone",
        &[(PLAIN, Key::F)],
    ),
    entry(
        Action::Suggest,
        Group::Bow,
        "Suggest a bowing",
        "Searches for a better bowing and shows what it finds side by side",
        &[(PLAIN, Key::G)],
    ),
    entry(
        Action::KeepVersion,
        Group::Edit,
        "Keep this version",
        "Keeps it to compare with; what you change afterwards is shown against it",
        &[(PLAIN, Key::K)],
    ),
    entry(
        Action::DropVersion,
        Group::Edit,
        "Drop the kept version",
        "Compares no longer",
        &[(SHIFT, Key::K)],
    ),
    entry(
        Action::Ladder,
        Group::View,
        "Tempo ladder",
        "What works at which practice tempo, over the whole part",
        &[(PLAIN, Key::T)],
    ),
    entry(Action::Play, Group::Play, "Play or pause", "", &[(PLAIN, Key::Space)]),
    entry(Action::Next, Group::Play, "Next note", "", &[(PLAIN, Key::ArrowRight)]),
    entry(Action::Previous, Group::Play, "Previous note", "", &[(PLAIN, Key::ArrowLeft)]),
    entry(Action::NextBeat, Group::Play, "Next beat", "", &[(CTRL, Key::ArrowRight)]),
    entry(Action::PreviousBeat, Group::Play, "Previous beat", "", &[(CTRL, Key::ArrowLeft)]),
    entry(Action::ExtendNext, Group::Play, "Select up to the next note", "", &[(SHIFT, Key::ArrowRight)]),
    entry(
        Action::ExtendPrevious,
        Group::Play,
        "Select back to the previous note",
        "",
        &[(SHIFT, Key::ArrowLeft)],
    ),
    entry(Action::ToStart, Group::Play, "To the start", "", &[(PLAIN, Key::Home)]),
    entry(Action::ToEnd, Group::Play, "To the end", "", &[(PLAIN, Key::End)]),
    entry(Action::NextFinding, Group::Play, "Next finding", "", &[(PLAIN, Key::J)]),
    entry(Action::PreviousFinding, Group::Play, "Previous finding", "", &[(SHIFT, Key::J)]),
    entry(
        Action::NextOffer,
        Group::Play,
        "Look at what helps",
        "The next remedy or suggestion on the hair map",
        &[(PLAIN, Key::ArrowDown)],
    ),
    entry(
        Action::PreviousOffer,
        Group::Play,
        "Look at the one before it",
        "The remedy or suggestion before",
        &[(PLAIN, Key::ArrowUp)],
    ),
    entry(
        Action::TakeOffer,
        Group::Play,
        "Take it",
        "Makes the change that is looked at",
        &[(PLAIN, Key::Enter)],
    ),
    entry(Action::Loop, Group::Play, "Loop", "Plays the selected notes over and over", &[(PLAIN, Key::L)]),
    entry(
        Action::LargeArm,
        Group::View,
        "Large arm view",
        "The level and the arm fill the middle of the window",
        &[(PLAIN, Key::M)],
    ),
    entry(
        Action::Together,
        Group::View,
        "Double stops",
        "Any two to four notes: hand, bow plane and weight",
        &[(PLAIN, Key::D)],
    ),
    entry(
        Action::NextArmView,
        Group::View,
        "Next view of the arm",
        "From behind, as in a mirror, own eyes",
        &[(PLAIN, Key::X)],
    ),
    level(1, &[(PLAIN, Key::Num1)]),
    level(2, &[(PLAIN, Key::Num2)]),
    level(3, &[(PLAIN, Key::Num3)]),
    level(4, &[(PLAIN, Key::Num4)]),
    level(5, &[(PLAIN, Key::Num5)]),
    level(6, &[(PLAIN, Key::Num6)]),
    level(7, &[(PLAIN, Key::Num7)]),
    hold_level(1, &[(SHIFT, Key::Num1), (SHIFT, Key::Exclamationmark)]),
    hold_level(2, &[(SHIFT, Key::Num2)]),
    hold_level(3, &[(SHIFT, Key::Num3)]),
    hold_level(4, &[(SHIFT, Key::Num4)]),
    hold_level(5, &[(SHIFT, Key::Num5)]),
    hold_level(6, &[(SHIFT, Key::Num6)]),
    hold_level(7, &[(SHIFT, Key::Num7)]),
    entry(
        Action::Wider,
        Group::View,
        "Wider music",
        "",
        &[(PLAIN, Key::Plus), (SHIFT, Key::Plus), (PLAIN, Key::Equals)],
    ),
    entry(Action::Narrower, Group::View, "Narrower music", "", &[(PLAIN, Key::Minus)]),
    entry(Action::NextLook, Group::View, "Next theme", "Light, dark, projector", &[(PLAIN, Key::V)]),
    entry(
        Action::Keys,
        Group::View,
        "All keys",
        "",
        &[(PLAIN, Key::Questionmark), (SHIFT, Key::Questionmark), (SHIFT, Key::Slash), (PLAIN, Key::F1)],
    ),
];

impl Action {
    /// Its line in the table.
    pub fn entry(self) -> &'static Entry {
        // Every action is listed (a test sees to it); the first line stands in for none.
        TABLE.iter().find(|entry| entry.action == self).unwrap_or(&TABLE[0])
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

/// What the user asked for; collected while the window is drawn, carried out afterwards.
#[derive(Debug)]
pub enum Command {
    /// A command of the table.
    Do(Action),
    /// An edit, or a sentence that says why it cannot be made. Edits of one gesture are undone
    /// together.
    Edit(Box<Result<Edit, crate::lesson::EditError>>, Option<Gesture>),
    /// Choose a note; extend the selection to it if asked, and go there.
    Choose {
        /// The note or rest.
        id: EventId,
        /// Keep what is chosen and add all up to this one.
        extend: bool,
    },
    /// Choose all notes from one moment to another, in quarter notes.
    ChooseSpan(f64, f64),
    /// Go to a moment, s.
    Seek(f64),
    /// Open a finding, go to it and choose its note.
    Finding(usize),
    /// Go to one of the further places of a finding.
    Place(usize, usize),
    /// Close the open finding.
    CloseFinding,
    /// Go to a note and choose it.
    Note(EventId),
    /// Go to the start of a bar.
    Bar(usize),
    /// Go to a difference from the kept version.
    Difference(usize),
    /// Show the bow again in the place of the suggestions or the ladder.
    CloseDrawer,
    /// Make a change that is on offer.
    Take(Offer),
    /// Show the music from this bar on.
    Scroll(usize),
    /// Stretch the time axis by this factor.
    Zoom(f64),
    /// Change the look.
    Look(Look),
    /// Type a note.
    Write(WriteKey),
    /// Leave the present lesson for another one, or the program.
    Leave(Then),
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_is_given_twice_and_no_command_listed_twice() {
        for (index, entry) in TABLE.iter().enumerate() {
            for other in &TABLE[index + 1..] {
                assert_ne!(entry.action, other.action);
                for key in entry.keys {
                    assert!(!other.keys.contains(key), "{} and {}", entry.words, other.words);
                }
            }
        }
    }

    #[test]
    fn words_are_in_sentence_case_without_a_colon() {
        for entry in TABLE {
            assert!(
                entry.words.starts_with(char::is_uppercase) && !entry.words.contains(':'),
                "{}",
                entry.words
            );
            assert!(!entry.tip.ends_with('.'), "{}", entry.tip);
        }
    }
}
