//! What a person can ask of the window. Panels collect commands while they are drawn; the shell
//! carries them out afterwards.

mod action;
pub mod buttons;
pub mod chord;
mod entry;
pub mod keys;
mod level_key;
pub mod list;
pub mod write;

use std::{fmt, ops::Range, path::PathBuf};

use crate::{
    advice::Freedom,
    analysis::StudyId,
    bowing::Density,
    exchange::book::Day,
    lesson::{Edit, EditError, Lesson, handout::ArmView},
    practice::Practised,
    score::{EventId, Note, Pitch},
};

use crate::desk::{
    state::{files::Then, history::Gesture, playing::Playing, view::Told},
    widgets::theme::Look,
};

pub use action::Action;
pub use entry::Group;
pub use level_key::LevelKey;
pub use write::{Said, WriteKey};

/// What the user asked for; collected while the window is drawn, carried out afterwards.
#[derive(Debug)]
pub enum Command {
    /// A command of the table.
    Do(Action),
    /// A change. Those of one gesture are undone together.
    Edit(Wish, Option<Gesture>),
    /// Change the piece and its bars as it was typed.
    Piece(Wish),
    /// Choose a note; extend the selection to it if asked, and go there.
    Choose {
        /// The note or rest.
        id: EventId,
        /// Keep what is chosen and add all up to this one.
        extend: bool,
    },
    /// Choose all notes of a bar, or of all bars up to it, and go there.
    ChooseBar {
        /// Its index.
        bar: usize,
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
    /// Go to a pencil mark and choose its note.
    Mark(usize),
    /// Show so many pencil marks.
    Pencil(Density),
    /// Tell this in the list at the right.
    Tell(Told),
    /// Close the open finding.
    CloseFinding,
    /// Go to a note and choose it.
    Note(EventId),
    /// Go to the start of a bar.
    Bar(usize),
    /// Go to a difference from the kept version.
    Difference(usize),
    /// Show the bow again in the place of the drawer.
    CloseDrawer,
    /// Make a change that is on offer: the study it leads to.
    Take(StudyId),
    /// Look for a bowing.
    Search {
        /// What may change.
        freedom: Freedom,
        /// The whole part rather than the chosen notes.
        whole: bool,
    },
    /// Stop looking for a bowing.
    StopSearch,
    /// Show the music from this bar on.
    Scroll(usize),
    /// Stretch the time axis by this factor.
    Zoom(f64),
    /// Play like this from now on.
    Playing(Box<Playing>),
    /// Write the practice track no further.
    StopTrack,
    /// Change the look.
    Look(Look),
    /// Type a note.
    Write(WriteKey),
    /// Write this note on this string (1 is the highest) at the caret.
    Put(Pitch, u8),
    /// Write a note at a height on the staff, in letters, and a moment, in quarter notes.
    PutOnStaff(i32, f64),
    /// Say this of the note before the caret.
    Say(Said, String),
    /// Words that were typed before their field had the focus; a line end ends them.
    Typed(String),
    /// Make a lesson from this one and show it; this one is kept to go back to.
    Make(Making),
    /// Make a page of the handout in one step, and show it.
    Page(Page),
    /// Save a block of the handout as a picture, by its place.
    SaveBlock(usize),
    /// Copy a block of the handout as an image, by its place.
    CopyBlock(usize),
    /// Save the moving picture that was put together.
    SaveFilm,
    /// Call off the moving picture that is being made.
    StopFilm,
    /// Wait no longer for the file that is being read.
    StopReading,
    /// Do something in the lesson book.
    Book(BookWish),
    /// Leave the present lesson for another one, or the program.
    Leave(Then),
}

/// What is asked of the lesson book. Pupils are named by their files.
#[derive(Clone, Debug)]
pub enum BookWish {
    /// Choose another folder for it.
    Folder,
    /// Add a pupil.
    Add(String),
    /// Give a pupil another name.
    Rename(PathBuf, String),
    /// Take a pupil out.
    Remove(PathBuf),
    /// Keep the figures of the lesson on the desk with a pupil.
    KeepFigures(PathBuf),
    /// Plan the lesson on the desk for a pupil.
    TakeFigures(PathBuf),
    /// Write down what was reached with the lesson on the desk.
    WriteDown(PathBuf, Day),
    /// Take the lesson of a file off a pupil's list.
    TakeOff(PathBuf, PathBuf),
}

/// What lesson is made from the one on the desk.
#[derive(Debug)]
pub enum Making {
    /// An exercise of these double stops, or of all in the music.
    DoubleStops(Option<Vec<[Note; 2]>>),
    /// These bars, by their indices.
    Bars(Range<usize>),
    /// An exercise made from these bars.
    Passage(Range<usize>, Practised),
    /// This one.
    Lesson(Box<Lesson>),
}

/// What a page is made for.
#[derive(Clone, Debug, PartialEq)]
pub enum Page {
    /// These bars, by their indices.
    Bars(Range<usize>),
    /// This finding, by its index.
    Finding(usize),
    /// These levels of the arm, by their places from the highest string.
    Levels(Vec<u8>, ArmView),
    /// The notes that sound together at this note.
    DoubleStop(EventId),
    /// What has changed since the kept version.
    Versions,
    /// A warm-up for the movement of this bar in so many minutes.
    WarmUp(usize, u8),
}

/// How a change that is asked for is made of the lesson as it is shown. In a long part that takes longer than a
/// frame, so it is left to the thread that applies it.
pub struct Wish(Box<Make>);

type Make = dyn FnOnce(&Lesson) -> Result<Edit, EditError> + Send;

impl Wish {
    /// A change that is made so, or a sentence that says why it cannot be made.
    pub fn new(make: impl FnOnce(&Lesson) -> Result<Edit, EditError> + Send + 'static) -> Self {
        Self(Box::new(make))
    }

    /// Makes it.
    ///
    /// # Errors
    /// When it cannot be made.
    pub fn make(self, lesson: &Lesson) -> Result<Edit, EditError> {
        self.0(lesson)
    }
}

impl fmt::Debug for Wish {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Wish")
    }
}

/// When a command is carried out while a change of the lesson is not shown yet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Turn {
    /// At once: it only looks or moves about.
    Now,
    /// After those that wait: it reads nothing but the lesson as it is.
    InOrder,
    /// When the change is shown: it goes out from what is known about the lesson.
    WhenShown,
}

impl Command {
    /// When it is carried out while a change of the lesson is not shown yet.
    pub fn turn(&self) -> Turn {
        match self {
            Self::Do(action) => action.turn(),
            Self::Edit(..) | Self::Take(_) | Self::Search { .. } => Turn::WhenShown,
            Self::Make(_) | Self::Page(_) => Turn::WhenShown,
            Self::SaveBlock(_) | Self::CopyBlock(_) | Self::SaveFilm => Turn::WhenShown,
            // What is typed next goes into the field.
            Self::Write(WriteKey::AskDynamic | WriteKey::AskWords) => Turn::Now,
            Self::Write(_) | Self::Put(..) | Self::PutOnStaff(..) | Self::Say(..) | Self::Typed(_) => {
                Turn::InOrder
            }
            Self::Piece(_) | Self::Leave(_) | Self::Book(_) => Turn::InOrder,
            // What is asked for next is asked of these notes, what was asked before of those before.
            Self::Choose { .. } | Self::ChooseBar { .. } | Self::ChooseSpan(..) => Turn::InOrder,
            Self::Note(_) | Self::Bar(_) | Self::Seek(_) => Turn::InOrder,
            Self::Finding(_)
            | Self::Place(..)
            | Self::Mark(_)
            | Self::Pencil(_)
            | Self::Tell(_)
            | Self::CloseFinding
            | Self::Difference(_)
            | Self::CloseDrawer
            | Self::StopSearch
            | Self::Scroll(_)
            | Self::Zoom(_)
            | Self::Look(_)
            | Self::StopFilm
            | Self::Playing(_)
            | Self::StopTrack
            | Self::StopReading => Turn::Now,
        }
    }

    /// The gesture it belongs to.
    pub fn gesture(&self) -> Option<Gesture> {
        if let Self::Edit(_, gesture) = self { *gesture } else { None }
    }

    /// A change that is a step of its own.
    pub fn edit(make: impl FnOnce(&Lesson) -> Result<Edit, EditError> + Send + 'static) -> Self {
        Self::Edit(Wish::new(make), None)
    }

    /// A change that belongs to a gesture.
    pub fn drag(
        make: impl FnOnce(&Lesson) -> Result<Edit, EditError> + Send + 'static,
        gesture: Gesture,
    ) -> Self {
        Self::Edit(Wish::new(make), Some(gesture))
    }
}
