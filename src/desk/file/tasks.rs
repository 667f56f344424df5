//! Work that would stop the window: reading and analysing a file, saving, writing pages, asking for a
//! path. A thread for each, so that none stands in the way of another; its result comes back by a
//! channel.

use std::{
    io,
    path::{Path, PathBuf},
    sync::Arc,
    time::{Duration, Instant},
};

use crate::{
    analysis::Study,
    bowing::Density,
    exchange::{
        Opened, UNTOLD,
        lesson_file::{self, LessonFileError},
        musicxml::{Besides, Document, OtherParts, WrittenBack},
        open_file,
        saving::{Over, SaveError, Seen, save, save_pieces, seen_now},
        score_file::{IntoScore, ScoreFileError, ScoreKind, score_bytes},
        sentence,
        unsaved::Left,
        versions::{self, Saved},
    },
    lesson::Lesson,
    picture::{
        self, FORMATS, Format, OtherPath, Paper, RenderError, Theme,
        film::{FilmError, Kind, Made, save_film},
    },
    sound::Track,
};

use crate::desk::{
    state::files::{Music, Origin, Purpose},
    work::{
        film::FilmWish,
        job::{Job, Line},
    },
};

/// A file dialog that says no sooner than this was never seen: there is none on this machine. A
/// machine without one answers after some 10 to 150 ms; nobody opens and cancels one so fast. Assumed.
const NO_DIALOG: Duration = Duration::from_millis(400);

/// What is said when a task ended without an answer.
pub const FAILED: &str = "the program failed on it; that is a fault of ours";

/// What a task found out.
pub enum Done {
    /// A file was read, and what it holds analysed.
    Music(PathBuf, Box<Music>),
    /// A MusicXML file with several parts: the user chooses.
    Parts(PathBuf, Arc<Document>),
    /// What the file of the lesson holds now, to be compared with the lesson.
    Beside(PathBuf, Study, Seen),
    /// A version of the lesson that was saved before, to be compared with it, and what it is called.
    Version(Study, String),
    /// A file could not be read; the sentence says why.
    Unreadable(PathBuf, String),
    /// The lesson was saved as this file, or why not.
    Saved(PathBuf, Result<Saved, LessonFileError>),
    /// Pages were written to this file, or why not.
    Pages(PathBuf, Purpose, Result<(), PagesError>),
    /// A moving picture was written as this file, or why not.
    Film(PathBuf, Result<Made, FilmError>),
    /// A practice track was written to this file, or why not.
    Track(PathBuf, Result<(), SaveError>),
    /// The lesson was written as this score file, or why not.
    Score(PathBuf, Purpose, Result<Scored, ScoreError>),
    /// What was called off has cleared away what it had written.
    CalledOff,
    /// A task for this file failed altogether.
    Failed(PathBuf),
    /// The user chose a path in a dialog, or none.
    Chosen(Option<PathBuf>),
    /// There is no file dialog on this machine.
    NoDialog,
}

/// Why pages were not written.
#[derive(Debug, thiserror::Error)]
pub enum PagesError {
    /// They cannot be drawn.
    #[error(transparent)]
    Drawing(#[from] RenderError),
    /// The file was not saved.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// What a score file with the lesson in it holds.
pub struct Scored {
    /// The file it was written into; none for a new one.
    pub into: Option<PathBuf>,
    /// How many places were changed.
    pub changes: usize,
    /// What it does not say as the lesson does.
    pub left: Vec<String>,
}

/// Why a score file was not written.
#[derive(Debug, thiserror::Error)]
pub enum ScoreError {
    /// It cannot be made of the lesson.
    #[error(transparent)]
    Score(#[from] ScoreFileError),
    /// The file was not saved.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// A task was started, or why it was not, in words for the user.
pub type Started = Result<(), &'static str>;

/// What is said when the system gives no thread.
const TOO_BUSY: &str = "The system is too busy to work on a file; try again";

/// The tasks that run, if any.
#[derive(Default)]
pub struct Tasks {
    reading: Running,
    asking: Running,
    saving: Running,
    pages: Running,
    film: Running,
    track: Running,
    /// What was called off, until its thread has cleared away what it had written.
    ending: Vec<Job<Done>>,
}

/// A task at work on a file, or none.
type Running = Option<(PathBuf, Job<Done>)>;

/// What pages are made of.
pub struct Pages {
    /// Analyses the lesson, which may not be done yet.
    pub analysed: Box<dyn FnOnce() -> Study + Send>,
    /// Which pages.
    pub what: PagesOf,
}

/// Which pages are written.
pub enum PagesOf {
    /// The whole part.
    Part {
        /// A version it is compared with, and what that is called.
        other: Option<(Study, String)>,
        /// How many pencil marks are on them.
        pencil: Density,
    },
    /// The handout.
    Handout,
    /// A block of it alone, by its place.
    Block(usize),
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

    /// The lesson is being saved.
    pub fn is_saving(&self) -> bool {
        self.saving.is_some()
    }

    /// Waits no longer to hear whether the lesson was saved.
    pub fn forget_saving(&mut self) {
        self.saving = None;
    }

    /// Something is being written.
    pub fn is_writing(&self) -> bool {
        self.saving.is_some() || self.pages.is_some()
    }

    /// The part of a moving picture that is made, 0 to 1; none where none is being made.
    pub fn film_part(&self) -> Option<f32> {
        self.film.as_ref().map(|(_, job)| job.done_part())
    }

    /// Calls the moving picture off that is being made.
    pub fn stop_film(&mut self) {
        call_off(&mut self.film, &mut self.ending);
    }

    /// A moving picture or a practice track is being made, or one that was called off still clears up.
    pub fn is_making(&self) -> bool {
        self.film.is_some() || self.track.is_some() || !self.ending.is_empty()
    }

    /// Calls off what is being made; true when something was.
    pub fn call_off(&mut self) -> bool {
        let film = call_off(&mut self.film, &mut self.ending);
        call_off(&mut self.track, &mut self.ending) || film
    }

    /// What was chosen in a dialog, once there is an answer.
    pub fn answer(&mut self) -> Option<Done> {
        result(&mut self.asking, |_| Done::NoDialog)
    }

    /// What was read, once it is.
    pub fn read(&mut self) -> Option<Done> {
        result(&mut self.reading, |path| Done::Unreadable(path, FAILED.to_owned()))
    }

    /// What was written, once it is.
    pub fn written(&mut self) -> Option<Done> {
        let saved = result(&mut self.saving, Done::Failed);
        let written = saved.or_else(|| result(&mut self.pages, Done::Failed));
        let written = written.or_else(|| result(&mut self.track, Done::Failed));
        let written = written.or_else(|| result(&mut self.film, Done::Failed));
        written.or_else(|| self.ended())
    }

    /// What was finished although it was called off; and told once, when all of it has cleared up.
    fn ended(&mut self) -> Option<Done> {
        let (mut finished, were) = (None, !self.ending.is_empty());
        self.ending.retain_mut(|job| {
            match job.next() {
                Some(done @ (Done::Film(_, Ok(_)) | Done::Track(_, Ok(())))) => finished = Some(done),
                Some(_) => {}
                None => return !job.is_over(),
            }
            false
        });
        finished.or_else(|| (were && self.ending.is_empty()).then_some(Done::CalledOff))
    }

    /// Reads a file, in place of one that is being read.
    pub fn open(&mut self, path: PathBuf, ctx: &egui::Context) -> Started {
        start(&mut self.reading, "open file", path, ctx, read)
    }

    /// Reads a version that was saved before of a file that cannot be opened.
    pub fn open_version(&mut self, version: PathBuf, file: PathBuf, ctx: &egui::Context) -> Started {
        start(&mut self.reading, "open version", file, ctx, move |file, line| {
            let seen = seen_now(&file).ok().flatten().unwrap_or(Seen::EMPTY);
            match open_file(&version) {
                Ok(Opened::Lesson(lesson, _)) => music(file, *lesson, Origin::Version(seen), line),
                Ok(Opened::Score(_)) => Some(Done::Unreadable(version, "it is no lesson".to_owned())),
                Err(error) => Some(Done::Unreadable(version, sentence(&error))),
            }
        })
    }

    /// Analyses unsaved work that was left.
    pub fn take_up(&mut self, left: Box<Left>, ctx: &egui::Context) -> Started {
        let path = left.about.file.as_ref().map(|(path, _)| path.clone()).unwrap_or_default();
        start(&mut self.reading, "take up", path, ctx, move |path, line| match &left.lesson {
            Ok(lesson) => music(path, (**lesson).clone(), Origin::Left(left), line),
            Err(why) => Some(Done::Unreadable(path, why.clone())),
        })
    }

    /// Reads what the file of the lesson holds now, to be compared with the lesson.
    pub fn read_beside(&mut self, path: PathBuf, ctx: &egui::Context) -> Started {
        start(&mut self.reading, "read beside", path, ctx, |path, _| {
            Some(match read_lesson(&path) {
                Ok((study, seen)) => Done::Beside(path, study, seen),
                Err(why) => Done::Unreadable(path, why),
            })
        })
    }

    /// Reads a version that was saved before, to be compared with the lesson.
    pub fn read_version(&mut self, path: PathBuf, words: String, ctx: &egui::Context) -> Started {
        start(&mut self.reading, "read version", path, ctx, |path, _| {
            Some(match read_lesson(&path) {
                Ok((study, _)) => Done::Version(study, words),
                Err(why) => Done::Unreadable(path, why),
            })
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
        start(&mut self.reading, "read part", path, ctx, move |path, line| {
            read_part(path, &document, part, line)
        })
    }

    /// Saves the lesson, with its versions in this data folder.
    pub fn save(
        &mut self,
        path: PathBuf,
        over: Over,
        lesson: Arc<Lesson>,
        data: Option<PathBuf>,
        ctx: &egui::Context,
    ) -> Started {
        start(&mut self.saving, "save", path, ctx, move |path, _| {
            let saved = versions::save_lesson(data.as_deref(), &path, &lesson, over);
            Some(Done::Saved(path, saved))
        })
    }

    /// Writes pages as PDF.
    pub fn write_pages(&mut self, path: PathBuf, over: Over, pages: Pages, ctx: &egui::Context) -> Started {
        if self.pages.is_some() {
            return Err("Pages are being written already");
        }
        start(&mut self.pages, "pages", path, ctx, move |path, _| {
            let study = (pages.analysed)();
            let (purpose, drawn) = match &pages.what {
                PagesOf::Part { other, pencil } => {
                    let other = other.as_ref().map(|(study, words)| OtherPath { study, words });
                    let pages = picture::sheet(&study, other, Paper::A4_LANDSCAPE, *pencil);
                    (Purpose::Pages, picture::pdf::write(pages, &Theme::PRINT))
                }
                PagesOf::Handout => {
                    let pages = picture::handout::pages(&study, &study.lesson().handout);
                    (Purpose::Handout, picture::pdf::write(pages, &Theme::PRINT))
                }
                PagesOf::Block(index) => (Purpose::Block(*index), block_file(&study, *index, &path)),
            };
            let written = drawn.map_err(PagesError::from).and_then(|bytes| Ok(save(&path, &bytes, over)?));
            Some(Done::Pages(path, purpose, written))
        })
    }

    /// Makes a moving picture.
    pub fn make_film(
        &mut self,
        path: PathBuf,
        over: Over,
        (analysed, wish): (Box<dyn FnOnce() -> Study + Send>, FilmWish),
        ctx: &egui::Context,
    ) -> Started {
        if self.film.is_some() {
            return Err("A moving picture is being made already; stop it, or wait for it");
        }
        start(&mut self.film, "film", path, ctx, move |path, line| {
            let kind = Kind::of_ending(&path).unwrap_or(Kind::Gif);
            let made = wish.reel(&analysed());
            let made =
                made.and_then(|reel| save_film(&reel, kind, &path, over, &mut |part| line.goes_on(part)));
            Some(Done::Film(path, made))
        })
    }

    /// Writes a practice track, which is made here, as a WAV file.
    pub fn write_track(
        &mut self,
        path: PathBuf,
        over: Over,
        track: impl FnOnce() -> Track + Send + 'static,
        ctx: &egui::Context,
    ) -> Started {
        if self.track.is_some() {
            return Err("A practice track is being written already");
        }
        start(&mut self.track, "track", path, ctx, move |path, line| {
            let Some(mut wave) = track().wave() else {
                let long = io::Error::other(
                    "it would be longer than a WAV file can be; choose fewer bars or rounds",
                );
                return Some(Done::Track(path, Err(long.into())));
            };
            let written = save_pieces(&path, over, &mut |write| {
                while let Some(piece) = wave.next_piece() {
                    write(piece)?;
                    let part = wave.done_part();
                    if !line.goes_on(part) {
                        return Err(io::ErrorKind::Interrupted.into());
                    }
                }
                Ok(())
            });
            Some(Done::Track(path, written))
        })
    }

    /// The share of the practice track that is written, while one is.
    pub fn track_part(&self) -> Option<f32> {
        self.track.as_ref().map(|(_, job)| job.done_part())
    }

    /// Writes the practice track no further; its file stays as it was.
    pub fn stop_track(&mut self) -> bool {
        call_off(&mut self.track, &mut self.ending)
    }

    /// Writes the lesson as a score file: into the one it came from, which is sought in this folder too, or new.
    pub fn write_score(
        &mut self,
        path: PathBuf,
        purpose: Purpose,
        over: Over,
        (study, folder, how): (Study, PathBuf, (OtherParts, Besides)),
        ctx: &egui::Context,
    ) -> Started {
        if self.pages.is_some() {
            return Err("Something is being written already");
        }
        start(&mut self.pages, "score", path, ctx, move |path, _| {
            let written = scored(&study, purpose, (&folder, how), &path, over);
            Some(Done::Score(path, purpose, written))
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
        if self.asking.is_some() {
            return Err("A file dialog is open already");
        }
        start(&mut self.asking, "file dialog", PathBuf::new(), ctx, move |_, _| {
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
                Purpose::Book => dialog.set_title("A folder for the lesson book").pick_folder(),
                Purpose::Save => dialog
                    .set_title("Save the lesson")
                    .add_filter("Lessons", &[lesson_file::ENDING])
                    .set_file_name(name)
                    .save_file(),
                Purpose::Score | Purpose::NewScore => dialog
                    .set_title("Write the score")
                    .add_filter("MusicXML", &["musicxml", "xml", "mxl"])
                    .set_file_name(name)
                    .save_file(),
                Purpose::Block(_) => dialog
                    .set_title("Save the block as a picture")
                    .add_filter("PNG, SVG or PDF", purpose.endings())
                    .set_file_name(name)
                    .save_file(),
                Purpose::Film => dialog
                    .set_title("Save the moving picture")
                    .add_filter("GIF, moving PNG, or single frames", purpose.endings())
                    .set_file_name(name)
                    .save_file(),
                Purpose::Track => dialog
                    .set_title("Save the practice track")
                    .add_filter("WAV", &["wav"])
                    .set_file_name(name)
                    .save_file(),
                Purpose::Pages | Purpose::Handout => {
                    dialog.set_title("Save pages").add_filter("PDF", &["pdf"]).set_file_name(name).save_file()
                }
            };
            let was_never_seen = chosen.is_none() && asked.elapsed() < NO_DIALOG;
            Some(if was_never_seen { Done::NoDialog } else { Done::Chosen(chosen) })
        })
    }
}

/// Calls a task off; true when there was one.
fn call_off(running: &mut Running, ending: &mut Vec<Job<Done>>) -> bool {
    let called_off = running.take().map(|(_, job)| {
        job.stop();
        ending.push(job);
    });
    called_off.is_some()
}

/// Starts a task; what it finds out is handed over, unless it was given up.
fn start(
    running: &mut Running,
    name: &str,
    path: PathBuf,
    ctx: &egui::Context,
    work: impl FnOnce(PathBuf, &Line<Done>) -> Option<Done> + Send + 'static,
) -> Started {
    let of = path.clone();
    let job = Job::start(name, ctx, move |line| {
        if let Some(done) = work(of, line) {
            line.send(done);
        }
    });
    *running = job.map(|job| (path, job));
    running.as_ref().map(drop).ok_or(TOO_BUSY)
}

/// The result of a task once it is there, or what a thread that ended without one stands for.
fn result(running: &mut Running, without: impl FnOnce(PathBuf) -> Done) -> Option<Done> {
    let (path, job) = running.as_mut()?;
    let done = match job.next() {
        Some(done) => done,
        None if job.is_over() => without(std::mem::take(path)),
        None => return None,
    };
    *running = None;
    Some(done)
}

/// A block of the handout as a file of the format that its name says, on a clear ground where that is one to be laid
/// on something else.
fn block_file(study: &Study, index: usize, path: &Path) -> Result<Vec<u8>, RenderError> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or_default();
    let format = Format::of_ending(ending).unwrap_or(&FORMATS[0]);
    let gone = || RenderError::Drawing("the block is not on the handout any more".to_owned());
    let block = picture::handout::single(study, index).ok_or_else(gone)?;
    let theme = Theme::PRINT.clear();
    format.files([block], &theme).next().unwrap_or_else(|| Err(gone()))
}

/// Makes the score file and saves it.
fn scored(
    study: &Study,
    purpose: Purpose,
    (folder, (others, besides)): (&Path, (OtherParts, Besides)),
    path: &Path,
    over: Over,
) -> Result<Scored, ScoreError> {
    let into = if purpose == Purpose::Score { IntoScore::of(study.lesson(), folder)? } else { None };
    let into = into.map(|into| IntoScore { others, ..into });
    let kind = ScoreKind::of_name(path).unwrap_or(ScoreKind::Plain);
    let WrittenBack { bytes, changes, left } = score_bytes(study, into.as_ref(), kind, besides)?;
    save(path, &bytes, over)?;
    Ok(Scored { into: into.map(|into| into.file), changes, left })
}

/// A lesson file, analysed.
fn read_lesson(path: &Path) -> Result<(Study, Seen), String> {
    match open_file(path) {
        Ok(Opened::Lesson(lesson, seen)) => Ok((Study::new(*lesson), seen)),
        Ok(Opened::Score(_)) => Err("it is a score and no lesson now".to_owned()),
        Err(error) => Err(sentence(&error)),
    }
}

fn read(path: PathBuf, line: &Line<Done>) -> Option<Done> {
    match open_file(&path) {
        Ok(Opened::Lesson(lesson, seen)) => music(path, *lesson, Origin::Lesson(seen), line),
        Ok(Opened::Score(document)) if document.parts().len() > 1 => {
            Some(Done::Parts(path, Arc::from(document)))
        }
        Ok(Opened::Score(document)) => read_part(path, &document, 0, line),
        Err(error) => Some(Done::Unreadable(path, sentence(&error))),
    }
}

fn read_part(path: PathBuf, document: &Document, part: usize, line: &Line<Done>) -> Option<Done> {
    match document.read(part) {
        Ok(imported) => {
            let family = imported.instrument.unwrap_or(UNTOLD.0);
            let origin =
                Origin::Part { report: imported.diagnostics, is_told: imported.instrument.is_some() };
            let lesson = Lesson::new(imported.score, family).from_file(&path, &imported.part);
            music(path, lesson, origin, line)
        }
        Err(error) => Some(Done::Unreadable(path, sentence(&error))),
    }
}

/// What was read, analysed; none when nobody waits for it any more.
fn music(path: PathBuf, lesson: Lesson, origin: Origin, line: &Line<Done>) -> Option<Done> {
    line.is_wanted().then(|| Done::Music(path, Box::new(Music { shown: Study::new(lesson).into(), origin })))
}
