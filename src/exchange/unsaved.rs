//! Work that is not saved yet, kept in the user's data folder, so that it is there at the next start
//! whatever ended the program.
//!
//! Every window has a folder of its own under `unsaved/`, with a file that it holds as long as it
//! lives: a folder whose file nobody holds was left by a window that ended without leaving its work in
//! order. In the folder are, for each lesson with unsaved changes, a lesson file and what is to be
//! known of it; and a list of the files the window has open, for other windows to read.

use std::{
    fs::{self, File, OpenOptions, TryLockError},
    io,
    path::{Path, PathBuf},
    sync::Arc,
    time::SystemTime,
};

use serde::{Deserialize, Serialize, de::DeserializeOwned};

use super::{
    diagnostic::sentence,
    lesson_file::{self, ENDING, LessonFileError},
    limit::read_own,
    opening::{Opened, open_file},
    saving::{SaveError, Seen, chance, followed, save_whole},
};
use crate::lesson::Lesson;

/// The folder of all windows in the data folder.
const FOLDER: &str = "unsaved";
/// How the name of a window's folder begins until it is held.
const BEGUN: &str = ".";
/// The file a window holds.
const HELD: &str = "window";
/// The list of files a window has open.
const OPEN: &str = "open.ron";
/// The ending of what is to be known of a lesson.
const ABOUT: &str = "ron";

/// Why unsaved work cannot be kept.
#[derive(Debug, thiserror::Error)]
pub enum KeepError {
    /// The data folder cannot be used.
    #[error("the folder {} cannot be used", .0.display())]
    Folder(PathBuf, #[source] io::Error),
    /// The lesson cannot be written down.
    #[error(transparent)]
    Lesson(#[from] LessonFileError),
    /// A file was not saved.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// What is to be known of a lesson with unsaved changes.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct About {
    /// The file it was opened from or last saved as, and what that held then.
    pub file: Option<(PathBuf, Seen)>,
    /// Put aside: it is not offered at the start any more.
    pub is_aside: bool,
}

/// The folder of one window, held until it is dropped.
#[derive(Debug)]
pub struct Session {
    folder: PathBuf,
    held: File,
}

impl Session {
    /// A folder of its own for a window.
    ///
    /// # Errors
    /// When there can be none in this data folder.
    pub fn begin(data: &Path) -> Result<Self, KeepError> {
        let folders = data.join(FOLDER);
        let name = format!("{:016x}", chance());
        // Nobody looks into it before it is held.
        let (begun, folder) = (folders.join(format!("{BEGUN}{name}")), folders.join(name));
        let begin = || {
            create_private(&begun)?;
            let held = OpenOptions::new().write(true).create_new(true).open(begun.join(HELD))?;
            held.try_lock()?;
            fs::rename(&begun, &folder)?;
            Ok(held)
        };
        let held = begin().map_err(|error| KeepError::Folder(folders, error))?;
        Ok(Self { folder, held })
    }

    /// Keeps a lesson under a number.
    ///
    /// # Errors
    /// When it cannot be written; what was kept before is then untouched.
    pub fn keep(&self, number: u64, lesson: &Lesson, about: &About) -> Result<(), KeepError> {
        let base = self.base(number);
        write_about(&base, about)?;
        Ok(lesson_file::save(&base.with_extension(ENDING), lesson)?)
    }

    /// Keeps a lesson no longer.
    pub fn clear(&self, number: u64) {
        remove(&self.base(number));
    }

    /// Tells other windows which files this one has open.
    ///
    /// # Errors
    /// When the list cannot be written.
    pub fn tell_open(&self, files: &[PathBuf]) -> Result<(), KeepError> {
        let text = ron::to_string(files).map_err(LessonFileError::from)?;
        Ok(save_whole(&self.folder.join(OPEN), text.as_bytes())?)
    }

    /// Another window has this file open.
    pub fn is_open_elsewhere(&self, file: &Path) -> bool {
        let others = folders(self.folder.parent()).into_iter().filter(|folder| *folder != self.folder);
        others.filter(|folder| matches!(hold(folder), Ok(None))).any(|folder| {
            read::<Vec<PathBuf>>(&folder.join(OPEN)).is_some_and(|open| open.iter().any(|path| path == file))
        })
    }

    /// Ends the window's folder; what is still kept in it stays.
    pub fn end(self) {
        drop(self.held);
        end(&self.folder);
    }

    fn base(&self, number: u64) -> PathBuf {
        self.folder.join(format!("{number:016x}"))
    }
}

/// A lesson with unsaved changes that a window left.
#[derive(Debug)]
pub struct Left {
    /// The lesson, or why it cannot be read.
    pub lesson: Result<Box<Lesson>, String>,
    /// What is to be known of it.
    pub about: About,
    /// When it was kept.
    pub at: SystemTime,
    base: PathBuf,
    /// While it is held no other window offers the same.
    _held: Arc<File>,
}

impl Left {
    /// Puts it aside, so that it is not offered at the start any more.
    ///
    /// # Errors
    /// When that cannot be written down.
    pub fn put_aside(&mut self) -> Result<(), KeepError> {
        self.about.is_aside = true;
        write_about(&self.base, &self.about)
    }

    /// Throws it away for good.
    pub fn throw_away(self) {
        remove(&self.base);
    }
}

/// What windows left that live no longer, the latest first. Folders with nothing in them are removed.
pub fn left(data: &Path) -> Vec<Left> {
    let mut found = Vec::new();
    for folder in folders(Some(&data.join(FOLDER))) {
        let Ok(Some(held)) = hold(&folder) else { continue };
        let held = Arc::new(held);
        let lessons = paths(&folder).into_iter().filter(|path| path.extension().is_some_and(|e| e == ENDING));
        let before = found.len();
        for path in lessons {
            let Ok(at) = fs::metadata(&path).and_then(|known| known.modified()) else { continue };
            let lesson = match open_file(&path) {
                Ok(Opened::Lesson(lesson, _)) => Ok(lesson),
                Ok(Opened::Score(_)) => Err("it is no lesson".to_owned()),
                Err(error) => Err(sentence(&error)),
            };
            let base = path.with_extension("");
            let about = read(&base.with_extension(ABOUT)).unwrap_or_default();
            found.push(Left { lesson, about, at, base, _held: Arc::clone(&held) });
        }
        if found.len() == before {
            drop(held);
            end(&folder);
        }
    }
    found.sort_by_key(|left| std::cmp::Reverse(left.at));
    found
}

/// A path as all windows name it.
pub fn known_as(path: &Path) -> PathBuf {
    let path = followed(path).unwrap_or_else(|_| path.to_owned());
    fs::canonicalize(&path).or_else(|_| std::path::absolute(&path)).unwrap_or(path)
}

/// Holds the folder of a window that lives no longer; none where it lives.
fn hold(folder: &Path) -> io::Result<Option<File>> {
    let file = OpenOptions::new().write(true).open(folder.join(HELD))?;
    match file.try_lock() {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Ok(None),
        Err(TryLockError::Error(error)) => Err(error),
    }
}

/// Removes a folder in which nothing is kept.
fn end(folder: &Path) {
    let is_kept = |path: &PathBuf| path.extension().is_some_and(|ending| ending == ENDING);
    if paths(folder).iter().any(is_kept) {
        return;
    }
    // What cannot be removed is found again at the next start.
    for path in paths(folder) {
        let _ = fs::remove_file(path);
    }
    let _ = fs::remove_dir(folder);
}

/// Removes a lesson first: what is known of it alone says nothing.
fn remove(base: &Path) {
    let _ = fs::remove_file(base.with_extension(ENDING));
    let _ = fs::remove_file(base.with_extension(ABOUT));
}

fn write_about(base: &Path, about: &About) -> Result<(), KeepError> {
    let text = ron::to_string(about).map_err(LessonFileError::from)?;
    Ok(save_whole(&base.with_extension(ABOUT), text.as_bytes())?)
}

fn read<T: DeserializeOwned>(path: &Path) -> Option<T> {
    ron::from_str(&read_own(path)?).ok()
}

fn paths(folder: &Path) -> Vec<PathBuf> {
    let entries = fs::read_dir(folder).into_iter().flatten();
    entries.filter_map(|entry| Some(entry.ok()?.path())).collect()
}

/// The folders of all windows.
fn folders(folder: Option<&Path>) -> Vec<PathBuf> {
    let Some(folder) = folder else { return Vec::new() };
    let is_begun =
        |path: &Path| path.file_name().is_some_and(|name| name.to_string_lossy().starts_with(BEGUN));
    paths(folder).into_iter().filter(|path| path.is_dir() && !is_begun(path)).collect()
}

/// A folder that only its owner may look into: what is not saved yet is nobody else's business.
pub(super) fn create_private(folder: &Path) -> io::Result<()> {
    let mut builder = fs::DirBuilder::new();
    builder.recursive(true);
    #[cfg(unix)]
    std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
    builder.create(folder)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    fn titled(title: &str) -> Lesson {
        let mut lesson = demo();
        lesson.score.title = title.to_owned();
        lesson
    }

    fn titles(left: &[Left]) -> Vec<&str> {
        left.iter().map(|left| left.lesson.as_ref().unwrap().score.title.as_str()).collect()
    }

    #[test]
    fn what_a_window_left_is_found_when_it_lives_no_longer() {
        let data = tempfile::tempdir().unwrap();
        let session = Session::begin(data.path()).unwrap();
        let about =
            About { file: Some((PathBuf::from("/a/song.elbowroom"), Seen::of(b"x"))), is_aside: false };
        session.keep(1, &titled("One"), &about).unwrap();
        session.keep(2, &titled("Two"), &About::default()).unwrap();
        session.clear(2);
        assert!(left(data.path()).is_empty(), "the window lives");
        drop(session);
        let found = left(data.path());
        assert_eq!(titles(&found), ["One"]);
        assert_eq!(found[0].about, about);
        assert!(left(data.path()).is_empty(), "another window offers it already");
    }

    #[test]
    fn what_was_left_is_taken_over_put_aside_or_thrown_away() {
        let data = tempfile::tempdir().unwrap();
        let session = Session::begin(data.path()).unwrap();
        for (number, title) in [(1, "One"), (2, "Two"), (3, "Three")] {
            session.keep(number, &titled(title), &About::default()).unwrap();
        }
        drop(session);
        let next = Session::begin(data.path()).unwrap();
        for mut left in left(data.path()) {
            match left.lesson.as_ref().unwrap().score.title.as_str() {
                "One" => {
                    next.keep(7, left.lesson.as_ref().unwrap(), &left.about).unwrap();
                    left.throw_away();
                }
                "Two" => left.put_aside().unwrap(),
                _ => left.throw_away(),
            }
        }
        let found = left(data.path());
        assert_eq!(titles(&found), ["Two"]);
        assert!(found[0].about.is_aside);
        found.into_iter().for_each(Left::throw_away);
        drop(next);
        let found = left(data.path());
        assert_eq!(titles(&found), ["One"]);
        found.into_iter().for_each(Left::throw_away);
        assert!(left(data.path()).is_empty());
        assert!(paths(&data.path().join(FOLDER)).is_empty(), "nothing is left lying");
    }

    #[test]
    fn what_cannot_be_read_is_told_and_stays() {
        let data = tempfile::tempdir().unwrap();
        let session = Session::begin(data.path()).unwrap();
        session.keep(1, &demo(), &About::default()).unwrap();
        let path = session.base(1).with_extension(ENDING);
        let text = fs::read_to_string(&path).unwrap();
        fs::write(&path, &text[..text.len() / 2]).unwrap();
        drop(session);
        assert!(left(data.path())[0].lesson.as_ref().is_err_and(|why| why.contains("damaged")));
        assert_eq!(left(data.path()).len(), 1);
    }

    #[test]
    fn windows_know_what_others_have_open() {
        let data = tempfile::tempdir().unwrap();
        let (one, two) = (Session::begin(data.path()).unwrap(), Session::begin(data.path()).unwrap());
        let file = data.path().join("song.elbowroom");
        one.tell_open(std::slice::from_ref(&file)).unwrap();
        assert!(two.is_open_elsewhere(&file) && !one.is_open_elsewhere(&file));
        assert!(!two.is_open_elsewhere(&data.path().join("other.elbowroom")));
        one.end();
        assert!(!two.is_open_elsewhere(&file));
        two.end();
        assert!(paths(&data.path().join(FOLDER)).is_empty());
    }
}
