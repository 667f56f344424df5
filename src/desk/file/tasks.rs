//! Work that would stop the window: reading files, asking for a path. One named thread at a time;
//! its result comes back by a channel.

use std::{
    path::PathBuf,
    sync::Arc,
    time::{Duration, Instant},
};

use crate::exchange::{Opened, lesson_file, musicxml::Document, open_file, sentence};

use crate::desk::{
    state::files::{Music, Purpose},
    work::job::Job,
};

/// A file dialog that says no sooner than this was never seen: there is none on this machine. A
/// machine without one answers after some 10 to 150 ms; nobody opens and cancels one so fast. Assumed.
const NO_DIALOG: Duration = Duration::from_millis(400);

/// What a task found out.
pub enum Done {
    /// A file was read.
    Music(PathBuf, Music),
    /// A MusicXML file with several parts: the user chooses.
    Parts(PathBuf, Arc<Document>),
    /// A file could not be read; the sentence says why.
    Unreadable(PathBuf, String),
    /// The user chose a path in a dialog, or none.
    Chosen(Option<PathBuf>),
    /// There is no file dialog on this machine.
    NoDialog,
}

/// A task was started, or why it was not, in words for the user.
pub type Started = Result<(), &'static str>;

/// The task that runs, if any.
#[derive(Default)]
pub struct Tasks {
    running: Option<Job<Done>>,
}

impl Tasks {
    /// A task is under way.
    pub fn is_busy(&self) -> bool {
        self.running.is_some()
    }

    /// The result of the task, once there is one.
    pub fn poll(&mut self) -> Option<Done> {
        let job = self.running.as_mut()?;
        let done = job.next();
        if done.is_some() || job.is_over() {
            self.running = None;
            // A thread that ended without a word had nothing to ask with.
            return done.or(Some(Done::NoDialog));
        }
        None
    }

    /// Reads a file.
    pub fn open(&mut self, path: PathBuf, ctx: &egui::Context) -> Started {
        self.start("open file", ctx, move || read(path))
    }

    /// Reads one part of a document.
    pub fn read_part(
        &mut self,
        path: PathBuf,
        document: Arc<Document>,
        part: usize,
        ctx: &egui::Context,
    ) -> Started {
        self.start("read part", ctx, move || read_part(path, &document, part))
    }

    /// Asks for a path in a file dialog, with a suggestion for the name.
    pub fn ask(
        &mut self,
        purpose: Purpose,
        folder: Option<PathBuf>,
        name: String,
        ctx: &egui::Context,
    ) -> Started {
        self.start("file dialog", ctx, move || {
            let asked = Instant::now();
            let mut dialog = rfd::FileDialog::new();
            if let Some(folder) = folder {
                dialog = dialog.set_directory(folder);
            }
            let chosen = match purpose {
                Purpose::Open => dialog
                    .set_title("Open a lesson or a MusicXML file")
                    .add_filter("Lessons and MusicXML", &[lesson_file::ENDING, "musicxml", "xml", "mxl"])
                    .add_filter("All files", &["*"])
                    .pick_file(),
                Purpose::Save => dialog
                    .set_title("Save the lesson")
                    .add_filter("Lessons", &[lesson_file::ENDING])
                    .set_file_name(name)
                    .save_file(),
                Purpose::Pages => {
                    dialog.set_title("Save pages").add_filter("PDF", &["pdf"]).set_file_name(name).save_file()
                }
            };
            if chosen.is_none() && asked.elapsed() < NO_DIALOG {
                Done::NoDialog
            } else {
                Done::Chosen(chosen)
            }
        })
    }

    fn start(
        &mut self,
        name: &str,
        ctx: &egui::Context,
        work: impl FnOnce() -> Done + Send + 'static,
    ) -> Started {
        if self.is_busy() {
            return Err("One file at a time; the last one is not done yet");
        }
        self.running = Job::start(name, ctx, move |line| line.send(work()));
        if self.is_busy() { Ok(()) } else { Err("The system is too busy to work on a file; try again") }
    }
}

fn read(path: PathBuf) -> Done {
    match open_file(&path) {
        Ok(Opened::Lesson(lesson)) => Done::Music(path, Music::Lesson(lesson)),
        Ok(Opened::Score(document)) if document.parts().len() > 1 => Done::Parts(path, Arc::from(document)),
        Ok(Opened::Score(document)) => read_part(path, &document, 0),
        Err(error) => Done::Unreadable(path, sentence(&error)),
    }
}

fn read_part(path: PathBuf, document: &Document, part: usize) -> Done {
    match document.read(part) {
        Ok(imported) => Done::Music(path, Music::Part(Box::new(imported))),
        Err(error) => Done::Unreadable(path, sentence(&error)),
    }
}
