//! The commands of the window that need no data of their own. Menus, buttons, keys and the list of
//! keys are made from what [`Action::entry`] tells, so they cannot disagree.

use egui::Key;
use strum::{EnumIter, IntoEnumIterator as _};

use super::{
    Turn,
    entry::{ALT, ALT_SHIFT, CTRL, CTRL_SHIFT, Entry, Group, PLAIN, SHIFT, entry},
    level_key::LevelKey,
};

/// A command without data of its own, in the order of the menus.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumIter)]
pub enum Action {
    New,
    Scale,
    Open,
    Save,
    SaveAs,
    CompareFile,
    Versions,
    Left,
    Book,
    ExportPages,
    ExportHandout,
    SaveTrack,
    WriteScore,
    NewScore,
    Report,
    Setup,
    ShowDemo,
    Quit,
    Undo,
    Redo,
    SelectAll,
    SelectNone,
    Write,
    Piece,
    Delete,
    Copy,
    Cut,
    Paste,
    InsertBars,
    DeleteBars,
    CutOut,
    Exercises,
    StepUp,
    StepDown,
    HalfStepUp,
    HalfStepDown,
    OctaveUp,
    OctaveDown,
    StringUp,
    StringDown,
    Transpose,
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
    TakeVersion,
    Ladder,
    Curves,
    Play,
    Next,
    Previous,
    NextBeat,
    PreviousBeat,
    NextBow,
    PreviousBow,
    NextBar,
    PreviousBar,
    NextLevel,
    PreviousLevel,
    ExtendNext,
    ExtendPrevious,
    ToStart,
    ToEnd,
    GoTo,
    NextFinding,
    PreviousFinding,
    NextMark,
    PreviousMark,
    NextSentence,
    PreviousSentence,
    NextOffer,
    PreviousOffer,
    TakeOffer,
    Loop,
    Repeats,
    Sound,
    CountIn,
    Faster,
    Drone,
    PlaySettings,
    LargeArm,
    Class,
    Stand,
    Together,
    Handout,
    PageForBars,
    PageForDoubleStop,
    WarmUp,
    Film,
    NextArmView,
    Level(LevelKey),
    HoldLevel(LevelKey),
    Wider,
    Narrower,
    NextDensity,
    NextLook,
    Keys,
}

impl Action {
    /// All of them, those with a level once for each level.
    pub fn all() -> impl Iterator<Item = Self> {
        Self::iter().flat_map(|action| match action {
            Self::Level(_) => LevelKey::iter().map(Self::Level).collect(),
            Self::HoldLevel(_) => LevelKey::iter().map(Self::HoldLevel).collect(),
            single => vec![single],
        })
    }

    /// When it is carried out while a change of the lesson is not shown yet.
    pub fn turn(self) -> Turn {
        match self {
            Self::Undo | Self::Redo | Self::Delete | Self::TakeVersion => Turn::InOrder,
            Self::New | Self::Open | Self::Save | Self::SaveAs => Turn::InOrder,
            Self::ExportPages | Self::ExportHandout => Turn::InOrder,
            Self::SaveTrack => Turn::WhenShown,
            Self::PageForBars | Self::PageForDoubleStop | Self::WarmUp | Self::Film => Turn::WhenShown,
            Self::CompareFile | Self::ShowDemo | Self::Quit => Turn::InOrder,
            Self::Setup | Self::Report | Self::Versions | Self::Left | Self::Book => Turn::Now,
            Self::SelectNone | Self::Write | Self::DropVersion => Turn::Now,
            Self::TakeOffer => Turn::WhenShown,
            // What is asked for next is asked of the notes that are chosen then.
            Self::SelectAll | Self::Copy | Self::Cut | Self::Loop => Turn::InOrder,
            Self::StepUp | Self::StepDown | Self::HalfStepUp | Self::HalfStepDown => Turn::InOrder,
            Self::OctaveUp | Self::OctaveDown | Self::StringUp | Self::StringDown => Turn::InOrder,
            Self::Next | Self::Previous | Self::ExtendNext | Self::ExtendPrevious => Turn::InOrder,
            Self::NextBeat | Self::PreviousBeat | Self::ToStart | Self::ToEnd => Turn::InOrder,
            Self::NextBow | Self::PreviousBow | Self::NextBar | Self::PreviousBar => Turn::InOrder,
            Self::NextLevel | Self::PreviousLevel => Turn::InOrder,
            _ => match self.entry().group {
                Group::Lesson | Group::Edit | Group::Bow => Turn::WhenShown,
                Group::Play | Group::View => Turn::Now,
            },
        }
    }

    /// Name, place and keys. Long, because it is the one table of all commands.
    pub fn entry(self) -> Entry {
        use Group::{Bow, Edit, Lesson, Play, View};
        match self {
            Self::New => entry(Lesson, "New", "An empty passage to write in", &[(CTRL, Key::N)]),
            Self::Scale => entry(
                Lesson,
                "Scale or arpeggio…",
                "From any note over any octaves, as a lesson to begin with",
                &[(CTRL_SHIFT, Key::N)],
            ),
            Self::Open => entry(Lesson, "Open…", "A lesson or a MusicXML file", &[(CTRL, Key::O)]),
            Self::Save => entry(Lesson, "Save", "", &[(CTRL, Key::S)]),
            Self::SaveAs => entry(Lesson, "Save as…", "", &[(CTRL_SHIFT, Key::S)]),
            Self::CompareFile => entry(
                Lesson,
                "Compare with the file",
                "Shows what the file holds now beside this lesson",
                &[],
            ),
            Self::Versions => {
                entry(Lesson, "Saved versions…", "Versions of this lesson that were saved before", &[])
            }
            Self::Left => entry(
                Lesson,
                "Unsaved work…",
                "What was not saved when the program ended, put aside too",
                &[],
            ),
            Self::Book => entry(
                Lesson,
                "Lesson book…",
                "Pupils, their lessons, the day of the last one, the tempo reached and a line of notes",
                &[(CTRL, Key::L)],
            ),
            Self::ExportPages => {
                entry(Lesson, "Save pages as PDF…", "Staff, hair map and levels on paper", &[(CTRL, Key::P)])
            }
            Self::ExportHandout => {
                entry(Lesson, "Save the handout as PDF…", "The pages for the pupil", &[(CTRL_SHIFT, Key::P)])
            }
            Self::SaveTrack => entry(
                Lesson,
                "Save a practice track…",
                "The looped or selected bars, or the whole part, with click and tones as a WAV file",
                &[(CTRL_SHIFT, Key::T)],
            ),
            Self::WriteScore => entry(
                Lesson,
                "Write into the score…",
                "Slurs, bow marks, fingerings, strings, dynamics and words into the MusicXML file they came from; all else in it stays",
                &[(CTRL_SHIFT, Key::W)],
            ),
            Self::NewScore => {
                entry(Lesson, "Write as a new score…", "A MusicXML file with this part alone", &[])
            }
            Self::Report => entry(Lesson, "What was read", "Remarks on the file this lesson came from", &[]),
            Self::Setup => entry(
                Lesson,
                "Instrument and player…",
                "Instrument, hair and the player's own figures",
                &[(CTRL, Key::I)],
            ),
            Self::ShowDemo => entry(Lesson, "Show the demo", "", &[]),
            Self::Quit => entry(Lesson, "Quit", "", &[(CTRL, Key::Q)]),
            Self::Undo => entry(Edit, "Undo", "", &[(CTRL, Key::Z)]),
            Self::Redo => entry(Edit, "Redo", "", &[(CTRL, Key::Y), (CTRL_SHIFT, Key::Z)]),
            Self::SelectAll => entry(Edit, "Select all", "", &[(CTRL, Key::A)]),
            Self::SelectNone => {
                entry(Edit, "Select nothing", "Closes open windows too", &[(PLAIN, Key::Escape)])
            }
            Self::Write => entry(Edit, "Write notes", "Type lengths and pitches", &[(PLAIN, Key::W)]),
            Self::Piece => entry(
                Edit,
                "Piece and bars…",
                "Title; metre, key, clef, tempo and repeats from the bar of the playhead on; upbeat, number of bars",
                &[(CTRL, Key::B)],
            ),
            Self::Delete => entry(
                Edit,
                "Delete",
                "Removes the selected notes; later ones move up",
                &[(PLAIN, Key::Delete)],
            ),
            Self::Copy => {
                entry(Edit, "Copy", "The selected notes, with their slurs and signs", &[(CTRL, Key::C)])
            }
            Self::Cut => entry(Edit, "Cut", "Copies the selected notes and removes them", &[(CTRL, Key::X)]),
            Self::Paste => entry(Edit, "Paste", "Behind the selected note", &[(CTRL, Key::V)]),
            Self::InsertBars => entry(
                Edit,
                "Insert bars",
                "Before the selected ones, as many as are selected",
                &[(CTRL, Key::Insert)],
            ),
            Self::DeleteBars => {
                entry(Edit, "Delete bars", "Those of the selected notes", &[(CTRL, Key::Delete)])
            }
            Self::CutOut => entry(
                Edit,
                "These bars as a lesson",
                "The bars of the selected notes as a lesson of its own that keeps their numbers",
                &[(CTRL, Key::E)],
            ),
            Self::Exercises => entry(
                Edit,
                "Exercises from these bars…",
                "The bow alone, crossings, the left hand, rhythms: each as a lesson or on the handout",
                &[(CTRL_SHIFT, Key::E)],
            ),
            Self::StepUp => {
                entry(Edit, "Up a step", "The selected notes, in the key", &[(ALT, Key::ArrowUp)])
            }
            Self::StepDown => {
                entry(Edit, "Down a step", "The selected notes, in the key", &[(ALT, Key::ArrowDown)])
            }
            Self::HalfStepUp => entry(Edit, "Up a half step", "", &[(ALT_SHIFT, Key::ArrowUp)]),
            Self::HalfStepDown => entry(Edit, "Down a half step", "", &[(ALT_SHIFT, Key::ArrowDown)]),
            Self::OctaveUp => entry(Edit, "Up an octave", "", &[(ALT, Key::PageUp)]),
            Self::OctaveDown => entry(Edit, "Down an octave", "", &[(ALT, Key::PageDown)]),
            Self::StringUp => entry(
                Edit,
                "To the string above",
                "The selected notes, with the same fingers",
                &[(ALT, Key::ArrowRight)],
            ),
            Self::StringDown => entry(
                Edit,
                "To the string below",
                "The selected notes, with the same fingers",
                &[(ALT, Key::ArrowLeft)],
            ),
            Self::Transpose => {
                entry(Edit, "Transpose…", "The selected notes, by an interval", &[(CTRL, Key::T)])
            }
            Self::Slur => entry(
                Bow,
                "Slur",
                "The selected notes in one bow, or each in its own again",
                &[(PLAIN, Key::S)],
            ),
            Self::Split => {
                entry(Bow, "New bow here", "Breaks the slur before the selected note", &[(PLAIN, Key::N)])
            }
            Self::Turn => entry(
                Bow,
                "Turn the bow",
                "The other direction, from the selected note on",
                &[(PLAIN, Key::B)],
            ),
            Self::Retake => entry(
                Bow,
                "Retake",
                "Lift the bow and set it again before the selected note",
                &[(PLAIN, Key::R)],
            ),
            Self::Hook => {
                entry(Bow, "Hook", "In the bow of the note before, after a stop", &[(PLAIN, Key::H)])
            }
            Self::Portato => {
                entry(Bow, "Portato", "In the bow of the note before, with a pulse", &[(PLAIN, Key::P)])
            }
            Self::Settle => entry(
                Bow,
                "Settle",
                "The bowing of the selected notes is settled: a suggestion leaves it alone",
                &[(PLAIN, Key::F)],
            ),
            Self::Suggest => entry(
                Bow,
                "Suggest a bowing",
                "Searches for a better bowing and shows what it finds side by side",
                &[(PLAIN, Key::G)],
            ),
            Self::KeepVersion => entry(
                Edit,
                "Keep this version",
                "Keeps it to compare with; what you change afterwards is shown against it",
                &[(PLAIN, Key::K)],
            ),
            Self::DropVersion => {
                entry(Edit, "Drop the kept version", "Compares no longer", &[(SHIFT, Key::K)])
            }
            Self::TakeVersion => entry(
                Edit,
                "Go back to this version",
                "Makes the lesson what the kept version is; Undo brings yours back",
                &[],
            ),
            Self::Ladder => entry(
                View,
                "Tempo ladder",
                "What works at which practice tempo, over the whole part",
                &[(PLAIN, Key::T)],
            ),
            Self::Curves => entry(
                View,
                "Curves",
                "Speed, sounding point, weight and arm of the music in view",
                &[(PLAIN, Key::C)],
            ),
            Self::Play => entry(Play, "Play or pause", "", &[(PLAIN, Key::Space)]),
            Self::Next => entry(Play, "Next note", "", &[(PLAIN, Key::ArrowRight)]),
            Self::Previous => entry(Play, "Previous note", "", &[(PLAIN, Key::ArrowLeft)]),
            Self::NextBeat => entry(Play, "Next beat", "", &[(CTRL, Key::ArrowRight)]),
            Self::PreviousBeat => entry(Play, "Previous beat", "", &[(CTRL, Key::ArrowLeft)]),
            Self::NextBow => entry(Play, "Next bow", "", &[(CTRL, Key::ArrowDown)]),
            Self::PreviousBow => entry(Play, "Previous bow", "", &[(CTRL, Key::ArrowUp)]),
            Self::NextBar => entry(Play, "Next bar", "", &[(PLAIN, Key::PageDown)]),
            Self::PreviousBar => entry(Play, "Previous bar", "", &[(PLAIN, Key::PageUp)]),
            Self::NextLevel => entry(Play, "Next change of level", "", &[(CTRL_SHIFT, Key::ArrowRight)]),
            Self::PreviousLevel => {
                entry(Play, "Previous change of level", "", &[(CTRL_SHIFT, Key::ArrowLeft)])
            }
            Self::ExtendNext => entry(Play, "Select up to the next note", "", &[(SHIFT, Key::ArrowRight)]),
            Self::ExtendPrevious => {
                entry(Play, "Select back to the previous note", "", &[(SHIFT, Key::ArrowLeft)])
            }
            Self::ToStart => entry(Play, "To the start", "", &[(PLAIN, Key::Home)]),
            Self::ToEnd => entry(Play, "To the end", "", &[(PLAIN, Key::End)]),
            Self::GoTo => entry(Play, "Go to a bar…", "By its number or a rehearsal mark", &[(CTRL, Key::G)]),
            Self::NextFinding => entry(Play, "Next finding", "", &[(PLAIN, Key::J)]),
            Self::PreviousFinding => entry(Play, "Previous finding", "", &[(SHIFT, Key::J)]),
            Self::NextMark => entry(
                Play,
                "Next pencil mark",
                "What a teacher would write over the notes, from the playhead on",
                &[(PLAIN, Key::E)],
            ),
            Self::PreviousMark => entry(Play, "Previous pencil mark", "", &[(SHIFT, Key::E)]),
            Self::NextSentence => entry(
                Play,
                "Next sentence",
                "The passage in words, as a teacher goes through it with a pupil",
                &[(PLAIN, Key::Y)],
            ),
            Self::PreviousSentence => entry(Play, "Previous sentence", "", &[(SHIFT, Key::Y)]),
            Self::NextOffer => entry(
                Play,
                "Look at what helps",
                "The next remedy or suggestion on the hair map",
                &[(PLAIN, Key::ArrowDown)],
            ),
            Self::PreviousOffer => entry(
                Play,
                "Look at the one before it",
                "The remedy or suggestion before",
                &[(PLAIN, Key::ArrowUp)],
            ),
            Self::TakeOffer => {
                entry(Play, "Take it", "Makes the change that is looked at", &[(PLAIN, Key::Enter)])
            }
            Self::Loop => entry(Play, "Loop", "Plays the selected notes over and over", &[(PLAIN, Key::L)]),
            Self::Repeats => entry(
                Play,
                "Repeats",
                "Playing takes repeats, endings and jumps, or goes once through",
                &[(SHIFT, Key::L)],
            ),
            Self::Sound => entry(Play, "Sound on or off", "", &[(PLAIN, Key::A)]),
            Self::CountIn => {
                entry(Play, "Count in", "Counts one bar or two before it plays, or none", &[(PLAIN, Key::I)])
            }
            Self::Faster => entry(
                Play,
                "A little faster each round",
                "The rounds of a loop, up to the practice tempo",
                &[(PLAIN, Key::U)],
            ),
            Self::Drone => entry(
                Play,
                "Drone on or off",
                "A note that stays, to tune against, playing or not",
                &[(SHIFT, Key::D)],
            ),
            Self::PlaySettings => entry(
                Play,
                "Sound and counting…",
                "Click, tones, drone, tuning, count-in, the rounds of a loop, practice track",
                &[(SHIFT, Key::A)],
            ),
            Self::LargeArm => entry(
                View,
                "Large arm view",
                "The level and the arm fill the middle of the window",
                &[(PLAIN, Key::M)],
            ),
            Self::Class => entry(
                View,
                "For a class",
                "The arm over the whole screen; its keys are written at its foot",
                &[(PLAIN, Key::F11)],
            ),
            Self::Stand => entry(
                View,
                "At the stand",
                "What is played now and next in letters to be read from the music stand, over the whole screen",
                &[(PLAIN, Key::F9)],
            ),
            Self::Together => entry(
                View,
                "Double stops",
                "Any two to four notes: hand, bow plane and weight",
                &[(PLAIN, Key::D)],
            ),
            Self::Handout => entry(
                View,
                "Handout",
                "What the pupil takes home, block by block, beside its pages",
                &[(CTRL, Key::H)],
            ),
            Self::PageForBars => entry(
                View,
                "A page for these bars",
                "The bars of the selected notes, or of the loop, on the handout: music, what to watch, a table to fill in",
                &[(CTRL_SHIFT, Key::H)],
            ),
            Self::PageForDoubleStop => entry(
                View,
                "A page for this double stop",
                "The next notes that sound together on the handout: fingers, bow, weight, the way up to them",
                &[],
            ),
            Self::WarmUp => entry(
                View,
                "A warm-up for the piece…",
                "In so many minutes: scales, slurs, strokes, levels and double stops of the piece, as lessons or on the handout",
                &[(CTRL_SHIFT, Key::U)],
            ),
            Self::Film => entry(
                View,
                "Moving picture…",
                "A passage as it is played, or the arm on its levels, as a file for a message or a video",
                &[(CTRL_SHIFT, Key::M)],
            ),
            Self::NextArmView => entry(
                View,
                "Next view of the arm",
                "Half from the front, bow side, mirror, behind, above, own eyes",
                &[(PLAIN, Key::X)],
            ),
            Self::Level(key) => key.show(),
            Self::HoldLevel(key) => key.hold(),
            Self::Wider => entry(
                View,
                "Wider music",
                "",
                &[(PLAIN, Key::Plus), (SHIFT, Key::Plus), (PLAIN, Key::Equals)],
            ),
            Self::Narrower => entry(View, "Narrower music", "", &[(PLAIN, Key::Minus)]),
            Self::NextDensity => entry(
                View,
                "More or fewer pencil marks",
                "Nothing, what must be told, what is worth telling, or everything, here and on the pages",
                &[(PLAIN, Key::O)],
            ),
            Self::NextLook => entry(View, "Next theme", "Light, dark, projector", &[(PLAIN, Key::V)]),
            Self::Keys => entry(
                View,
                "All keys",
                "",
                &[
                    (PLAIN, Key::Questionmark),
                    (SHIFT, Key::Questionmark),
                    (SHIFT, Key::Slash),
                    (PLAIN, Key::F1),
                ],
            ),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_key_is_given_twice() {
        let entries: Vec<Entry> = Action::all().map(Action::entry).collect();
        for (index, entry) in entries.iter().enumerate() {
            for other in &entries[index + 1..] {
                for key in entry.keys {
                    assert!(!other.keys.contains(key), "{} and {}", entry.words, other.words);
                }
            }
        }
    }

    #[test]
    fn words_are_in_sentence_case_without_a_colon() {
        for entry in Action::all().map(Action::entry) {
            let words = entry.words;
            assert!(words.starts_with(char::is_uppercase) && !words.contains(':'), "{words}");
            assert!(!entry.tip.ends_with('.'), "{}", entry.tip);
        }
    }
}
