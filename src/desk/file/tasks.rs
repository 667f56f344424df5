//! Work that would stop the window: reading a file, asking for a path. A thread for each, so that neither
//! stands in the way of the other; its result comes back by a channel.

use std::{
    path::{Path, PathBuf},
    sync::Arc,
    time::{Duration, Instant},
};

use crate::{
    analysis::Study,
    exchange::{Opened, lesson_file, musicxml::Document, open_file, saving::Seen, sentence},
};

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
    /// What the file of the lesson holds now, to be compared with the lesson.
    Beside(PathBuf, Study, Seen),
    /// A version of the lesson that was saved before, to be compared with it, and what it is called.
    Version(Study, String),
    /// A file could not be read; the sentence says why.
    Unreadable(PathBuf, String),
    /// The user chose a path in a dialog, or none.
    Chosen(Option<PathBuf>),
    /// There is no file dialog on this machine.
    NoDialog,
}

/// A task was started, or why it was not, in words for the user.
pub type Started = Result<(), &'static str>;

/// What is said when the system gives no thread.
const TOO_BUSY: &str = "The system is too busy to work on a file; try again";

/// The tasks that run, if any.
#[derive(Default)]
pub struct Tasks {
    reading: Option<(PathBuf, Job<Done>)>,
    asking: Option<Job<Done>>,
}

impl Tasks {
    /// The file that is being read.
    pub fn reading(&self) -> Option<&Path> {
        self.reading.as_ref().map(|(path, _)| path.as_path())
    }

    /// Waits no longer for the file that is being read; true when there was one.
    pub fn stop_reading(&mut self) -> bool {
        self.reading.take().is_some()
    }

    /// What was chosen in a dialog, once there is an answer.
    pub fn answer(&mut self) -> Option<Done> {
        let done = result(self.asking.as_mut()?, || Done::NoDialog)?;
        self.asking = None;
        Some(done)
    }

    /// What was read, once it is.
    pub fn read(&mut self) -> Option<Done> {
        let (path, job) = self.reading.as_mut()?;
        let done = result(job, || {
            Done::Unreadable(path.clone(), "the program failed on it; that is a fault of ours".to_owned())
        })?;
        self.reading = None;
        Some(done)
    }

    /// Reads a file, in place of one that is being read.
    pub fn open(&mut self, path: PathBuf, ctx: &egui::Context) -> Started {
        self.start("open file", path, ctx, read)
    }

    /// Reads what the file of the lesson holds now, to be compared with the lesson.
    pub fn read_beside(&mut self, path: PathBuf, ctx: &egui::Context) -> Started {
        self.start("read beside", path, ctx, |path| match read_lesson(&path) {
            Ok((study, seen)) => Done::Beside(path, study, seen),
            Err(why) => Done::Unreadable(path, why),
        })
    }

    /// Reads a version that was saved before, to be compared with the lesson.
    pub fn read_version(&mut self, path: PathBuf, words: String, ctx: &egui::Context) -> Started {
        self.start("read version", path, ctx, |path| match read_lesson(&path) {
            Ok((study, _)) => Done::Version(study, words),
            Err(why) => Done::Unreadable(path, why),
        })
    }

    /// Reads one part of a document.
    pub fn read_part(
        &mut self,
        path: PathBuf,
        document: Arc<Document>,
        part: usize,
        ctx: &egui::Context,
    ) -> Started {
        self.start("read part", path, ctx, move |path| read_part(path, &document, part))
    }

    /// Asks for a path in a file dialog, with a suggestion for the name.
    pub fn ask(
        &mut self,
        purpose: Purpose,
        folder: Option<PathBuf>,
        name: String,
        ctx: &egui::Context,
    ) -> Started {
        if self.asking.is_some() {
            return Err("A file dialog is open already");
        }
        self.asking = Job::start("file dialog", ctx, move |line| {
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
            line.send(if chosen.is_none() && asked.elapsed() < NO_DIALOG {
                Done::NoDialog
            } else {
                Done::Chosen(chosen)
            });
        });
        self.asking.as_ref().map(drop).ok_or(TOO_BUSY)
    }

    fn start(
        &mut self,
        name: &str,
        path: PathBuf,
        ctx: &egui::Context,
        work: impl FnOnce(PathBuf) -> Done + Send + 'static,
    ) -> Started {
        let read = path.clone();
        self.reading = Job::start(name, ctx, move |line| line.send(work(read))).map(|job| (path, job));
        self.reading.as_ref().map(drop).ok_or(TOO_BUSY)
    }
}

/// The result of a job, or what a thread that ended without one stands for.
fn result(job: &mut Job<Done>, without: impl FnOnce() -> Done) -> Option<Done> {
    job.next().or_else(|| job.is_over().then(without))
}

/// A lesson file, analysed.
fn read_lesson(path: &Path) -> Result<(Study, Seen), String> {
    match open_file(path) {
        Ok(Opened::Lesson(lesson, seen)) => Ok((Study::new(*lesson), seen)),
        Ok(Opened::Score(_)) => Err("it is a score and no lesson now".to_owned()),
        Err(error) => Err(sentence(&error)),
    }
}

fn read(path: PathBuf) -> Done {
    match open_file(&path) {
        Ok(Opened::Lesson(lesson, seen)) => Done::Music(path, Music::Lesson(lesson, seen)),
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
