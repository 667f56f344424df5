//! Work that would stop the window: reading files, asking for a path. One named thread at a time;
//! its result comes back by a channel.

use std::{
    io::Read as _,
    path::{Path, PathBuf},
    sync::Arc,
    time::{Duration, Instant},
};

use crate::{
    exchange::{
        lesson_file,
        musicxml::{self, Document, Imported},
    },
    lesson::Lesson,
};

use super::job::Job;

/// Largest file read, bytes. Assumed; the longest scores need a tenth of it.
const LIMIT: u64 = 64 << 20;
/// A file dialog that says no sooner than this was never seen: there is none on this machine. A
/// machine without one answers after some 10 to 150 ms; nobody opens and cancels one so fast. Assumed.
const NO_DIALOG: Duration = Duration::from_millis(400);

/// What a task found out.
pub enum Done {
    /// A file was read.
    Music(PathBuf, Box<Music>),
    /// A MusicXML file with several parts: the user chooses.
    Parts(PathBuf, Arc<Document>),
    /// A file could not be read; the sentence says why.
    Unreadable(PathBuf, String),
    /// The user chose a path in a dialog, or none.
    Chosen(Option<PathBuf>),
    /// There is no file dialog on this machine.
    NoDialog,
}

/// What was read from a file.
#[derive(Debug)]
pub enum Music {
    /// A lesson file.
    Lesson(Lesson),
    /// One part of a MusicXML file.
    Part(Imported),
}

/// What a path is asked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Purpose {
    /// To open a lesson or a MusicXML file.
    Open,
    /// To save the lesson.
    Save,
    /// To save pages.
    Pages,
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
        self.start("read part", ctx, move || match document.read(part) {
            Ok(imported) => Done::Music(path, Box::new(Music::Part(imported))),
            Err(error) => Done::Unreadable(path, sentence(&error)),
        })
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
    match read_file(&path) {
        Ok(done) => done,
        Err(why) => Done::Unreadable(path, why),
    }
}

fn read_file(path: &Path) -> Result<Done, String> {
    let mut bytes = Vec::new();
    std::fs::File::open(path)
        .and_then(|file| file.take(LIMIT + 1).read_to_end(&mut bytes))
        .map_err(|error| sentence(&error))?;
    if bytes.len() as u64 > LIMIT {
        return Err("it is larger than 64 MiB, which no score is".to_owned());
    }
    if lesson_file::is_lesson(&bytes) {
        let text = String::from_utf8(bytes).map_err(|_| "a lesson file must be UTF-8 text".to_owned())?;
        let lesson = lesson_file::read(&text).map_err(|error| sentence(&error))?;
        return Ok(Done::Music(path.to_owned(), Box::new(Music::Lesson(lesson))));
    }
    let document = musicxml::open(&bytes).map_err(|error| sentence(&error))?;
    if document.parts().len() > 1 {
        return Ok(Done::Parts(path.to_owned(), Arc::new(document)));
    }
    let imported = document.read(0).map_err(|error| sentence(&error))?;
    Ok(Done::Music(path.to_owned(), Box::new(Music::Part(imported))))
}

/// An error with what caused it.
pub fn sentence(error: &dyn std::error::Error) -> String {
    let mut words = error.to_string();
    let mut source = error.source();
    while let Some(cause) = source {
        words.push_str(": ");
        words.push_str(&cause.to_string());
        source = cause.source();
    }
    words
}
