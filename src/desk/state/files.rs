//! Where the lesson lives, and what is to be done before it is left.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
};

use crate::exchange::{
    diagnostic::Diagnostic,
    lesson_file,
    musicxml::{Besides, Document, OtherParts},
    saving::Seen,
    unsaved::Left,
};

use super::{history::StateId, spacing::Spaced};

/// What was read from a file.
#[derive(Debug)]
pub struct Music {
    /// The lesson, analysed and spaced.
    pub shown: Spaced,
    /// Where it comes from.
    pub origin: Origin,
}

/// Where a lesson comes from.
#[derive(Debug)]
pub enum Origin {
    /// A lesson file that held this.
    Lesson(Seen),
    /// One part of a MusicXML file.
    Part {
        /// Remarks on what was read.
        report: Vec<Diagnostic>,
        /// The file tells the instrument.
        is_told: bool,
    },
    /// Unsaved work that was left.
    Left(Box<Left>),
    /// A version saved before of a file that cannot be opened, and what that holds.
    Version(Seen),
}

/// What a path is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To open a lesson or a MusicXML file.
    Open,
    /// A folder for the lesson book.
    Book,
    /// To save the lesson.
    Save,
    /// To save pages.
    Pages,
    /// To save the handout.
    Handout,
    /// To save a block of the handout as a picture, by its place.
    Block(usize),
    /// To save a moving picture.
    Film,
    /// To save a practice track.
    Track,
    /// To write the lesson into the score file it came from, or as a new one where it was typed in.
    Score,
    /// To write the lesson as a new score file.
    NewScore,
}

impl Purpose {
    /// Endings that a file written for it may have, the usual one first; none where nothing is written.
    pub fn endings(self) -> &'static [&'static str] {
        match self {
            Self::Open | Self::Book => &[],
            Self::Save => &[lesson_file::ENDING],
            Self::Pages | Self::Handout => &["pdf"],
            Self::Block(_) => &["png", "svg", "pdf"],
            Self::Film => &["gif", "apng", "png"],
            Self::Track => &["wav"],
            Self::Score | Self::NewScore => &["musicxml", "xml", "mxl"],
        }
    }
}

/// What comes after the present lesson.
#[derive(Debug)]
pub enum Then {
    /// An empty passage.
    New,
    /// A file chosen in a dialog.
    Ask,
    /// This file.
    Open(PathBuf),
    /// This version, in the place of a file that cannot be opened.
    OpenVersion(PathBuf, PathBuf),
    /// What was read from a file.
    Take(PathBuf, Box<Music>),
    /// The demo.
    Demo,
    /// A lesson made from this one, which is kept to go back to.
    Show(Spaced),
    /// The lesson that one was made from.
    Back,
    /// Unsaved work that was left.
    TakeUp(Box<Left>),
    /// Nothing: the window closes.
    Quit,
}

/// A lesson file, and what it held when it was last opened or saved.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OnDisk {
    /// Where it is.
    pub path: PathBuf,
    /// What it held.
    pub seen: Seen,
}

/// How far the unsaved work of a lesson is kept.
#[derive(Clone, Copy, Debug, Default)]
pub struct Keeping {
    /// The number it is kept under, once there was something to keep.
    pub number: Option<u64>,
    /// The state that was last told to the keeper, and whether it was unsaved then.
    pub told: Option<(StateId, bool)>,
}

/// State of files and of the windows that ask about them.
#[derive(Default)]
pub struct Files {
    /// Where the lesson was opened or saved as a lesson file.
    pub on_disk: Option<OnDisk>,
    /// How far unsaved work is kept.
    pub keeping: Keeping,
    /// What the path being asked for is for.
    pub asked_for: Option<Purpose>,
    /// The state that may be left for the file being chosen or read.
    pub agreed: Option<StateId>,
    /// What becomes of the other parts of the score that is written, where bars come or go.
    pub others: OtherParts,
    /// What is written over the staff of that score besides what the lesson holds.
    pub besides: Besides,
    /// What to do once the lesson is saved.
    pub after_saving: Option<Then>,
    /// It was asked to be saved while it was being saved.
    pub save_again: bool,
    /// Remarks on the file the lesson was read from.
    pub report: Vec<Diagnostic>,
    /// What the score file written last does not say as the lesson does.
    pub unsaid: Vec<String>,
    /// What must be answered before anything else goes on.
    pub question: Option<Question>,
}

impl Files {
    /// The path of the lesson file.
    pub fn path(&self) -> Option<&Path> {
        self.on_disk.as_ref().map(|on_disk| on_disk.path.as_path())
    }
}

/// What the user is asked in a window of its own.
#[derive(Debug)]
pub enum Question {
    /// There are unsaved changes: leave the lesson for this?
    Leave(Then),
    /// Which path? The one typed so far, where there is no file dialog.
    Path(Purpose, String),
    /// Which part of this document? The choice so far.
    Part(PathBuf, Arc<Document>, usize),
    /// What is written over the staff of a score besides what the lesson holds? The choice so far.
    Besides(Purpose, Besides),
    /// This file exists already: replace it?
    Replace(Purpose, PathBuf),
    /// The score has more or fewer bars than the lesson: are bars to come or go in its other parts too?
    AllParts(PathBuf, String),
    /// The file has changed on the disk since it was opened: what now?
    Changed(PathBuf),
}
