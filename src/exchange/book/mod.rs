//! The lesson book: the pupils a teacher keeps, each with the figures to plan for, and the lessons worked on with
//! the day, the tempo reached and a line of notes.
//!
//! Each pupil is one RON file in a folder of the user's choosing, to be read by anybody; the folder can be moved, and
//! a lesson that lies in it is found again there. Nothing is sent anywhere. A file is read again before it is
//! changed, and one that cannot be read is never written over: the book tells why and leaves it to the user.

mod earlier;
mod pupil;

use std::{
    fs, io,
    path::{Path, PathBuf},
};

use serde::{Deserialize, Serialize};

use super::{
    lesson_file::damage,
    limit::{OWN_LIMIT, ReadError, read_file},
    saving::{Over, SaveError, Seen, save, take_back},
};

pub use earlier::take_over;
pub use pupil::{Day, Figures, Listed, MOST_LETTERS, Pupil};

/// The version written; a newer one is refused.
const FORMAT_VERSION: u32 = 1;
/// The ending of a pupil's file.
pub const ENDING: &str = "pupil";
/// Names tried for a new file: "Mila", "Mila 2" and so on. Assumed.
const MOST_NAMES: usize = 100;

/// Why the book cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum BookError {
    /// Damaged, or not such a file.
    #[error("it cannot be read: {message} (line {line}); mend it or move it away. It is left as it is")]
    Malformed {
        /// What the reader says.
        message: String,
        /// Line, from 1.
        line: usize,
    },
    /// Written by a newer version of the program.
    #[error(
        "it was saved in format {found}, and this program reads up to {FORMAT_VERSION}. A newer one opens it"
    )]
    Newer {
        /// The version in the file.
        found: u32,
    },
    /// What was asked for cannot be; the sentence says why.
    #[error("{0}")]
    Asked(String),
    /// A number or a path of the pupil cannot be written.
    #[error("it cannot be written: {0}")]
    Unwritable(#[from] ron::Error),
    /// The disk or the folder refused.
    #[error("the folder of the lesson book cannot be read or written")]
    Io(#[from] io::Error),
    /// The file was not saved.
    #[error(transparent)]
    Save(#[from] SaveError),
}

/// A pupil with the file that holds what is kept.
#[derive(Clone, Debug, PartialEq)]
pub struct Kept {
    /// The file.
    pub file: PathBuf,
    /// The pupil.
    pub pupil: Pupil,
}

/// A file of the book that cannot be read, and why.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Unread {
    /// The file.
    pub file: PathBuf,
    /// Why, in a sentence.
    pub why: String,
}

/// What is in the folder of the book.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Book {
    /// The folder.
    pub folder: PathBuf,
    /// The pupils, by name.
    pub pupils: Vec<Kept>,
    /// Files that cannot be read.
    pub unread: Vec<Unread>,
}

#[derive(Deserialize)]
#[serde(rename = "LessonBook")]
struct Head {
    format_version: u32,
}

#[derive(Serialize, Deserialize)]
#[serde(rename = "LessonBook")]
struct File<P> {
    format_version: u32,
    pupil: P,
}

impl Book {
    /// Reads the book in a folder; an empty one where there is no such folder yet.
    ///
    /// # Errors
    /// When the folder cannot be read. What is wrong with one file is told in [`Book::unread`].
    pub fn read(folder: &Path) -> Result<Self, BookError> {
        let mut book = Self { folder: folder.to_owned(), ..Self::default() };
        let entries = match fs::read_dir(folder) {
            Ok(entries) => entries,
            Err(error) if error.kind() == io::ErrorKind::NotFound => return Ok(book),
            Err(error) => return Err(error.into()),
        };
        for entry in entries {
            let file = entry?.path();
            if !file.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(ENDING)) {
                continue;
            }
            match read_pupil(&file) {
                Ok((pupil, _)) => book.pupils.push(Kept { file, pupil }),
                Err(error) => book.unread.push(Unread { file, why: super::sentence(&error) }),
            }
        }
        book.pupils.sort_by_cached_key(|kept| (kept.pupil.name.to_lowercase(), kept.file.clone()));
        book.unread.sort_by(|a, b| a.file.cmp(&b.file));
        Ok(book)
    }

    /// The pupil of that name.
    pub fn named(&self, name: &str) -> Option<&Kept> {
        let same = |kept: &&Kept| kept.pupil.name.trim().to_lowercase() == name.trim().to_lowercase();
        self.pupils.iter().find(same)
    }

    /// The pupils that have the lesson of this file in their list.
    pub fn with_lesson<'a>(&'a self, lesson: &'a Path) -> impl Iterator<Item = &'a Kept> {
        self.pupils.iter().filter(|kept| kept.pupil.listed(&self.folder, lesson).is_some())
    }

    /// Adds a pupil in a file of its own; gives the file.
    ///
    /// # Errors
    /// When the name is empty or taken, the figures cannot be, or the folder cannot be written.
    pub fn add(folder: &Path, name: &str, figures: Option<Figures>) -> Result<PathBuf, BookError> {
        let pupil = Pupil { name: name.trim().to_owned(), figures, lessons: Vec::new() };
        check(&pupil)?;
        if Self::read(folder)?.named(name).is_some() {
            return Err(BookError::Asked(format!("{:?} is in the book already", name.trim())));
        }
        let text = written(&pupil)?;
        fs::create_dir_all(folder)?;
        let stem = stem(name);
        for nth in 1..=MOST_NAMES {
            let number = if nth == 1 { String::new() } else { format!(" {nth}") };
            let file = folder.join(format!("{stem}{number}.{ENDING}"));
            match save(&file, text.as_bytes(), Over::Nothing) {
                Ok(()) => return Ok(file),
                Err(SaveError::Exists) => {}
                Err(error) => return Err(error.into()),
            }
        }
        Err(SaveError::Exists.into())
    }

    /// Changes a pupil: the file is read, changed and written.
    ///
    /// # Errors
    /// When it cannot be read, is to become what no pupil is, takes the name of another, or cannot be written; it is
    /// then as before.
    pub fn change(file: &Path, change: impl FnOnce(&mut Pupil)) -> Result<(), BookError> {
        let (mut pupil, seen) = read_pupil(file)?;
        let name = pupil.name.clone();
        change(&mut pupil);
        pupil.name = pupil.name.trim().to_owned();
        check(&pupil)?;
        if pupil.name != name {
            let book = Self::read(file.parent().unwrap_or(Path::new(".")))?;
            if book.named(&pupil.name).is_some_and(|other| other.file != file) {
                return Err(BookError::Asked(format!("{:?} is in the book already", pupil.name)));
            }
        }
        Ok(save(file, written(&pupil)?.as_bytes(), Over::Seen(seen))?)
    }

    /// Takes a pupil out of the book, file and all. The lessons stay where they are.
    pub fn remove(file: &Path) {
        take_back(&[file.to_owned()]);
    }
}

/// The pupil of a file, and what it held.
fn read_pupil(file: &Path) -> Result<(Pupil, Seen), BookError> {
    let malformed = |message: String, line| BookError::Malformed { message, line };
    let bytes = match read_file(file, OWN_LIMIT) {
        Ok(bytes) => bytes,
        Err(ReadError::Io(error)) => return Err(error.into()),
        Err(error) => return Err(malformed(error.to_string(), 1)),
    };
    let seen = Seen::of(&bytes);
    let Ok(text) = String::from_utf8(bytes) else {
        return Err(malformed("it is not UTF-8 text".to_owned(), 1));
    };
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(&text);
    if let Ok(head) = ron::from_str::<Head>(text)
        && head.format_version > FORMAT_VERSION
    {
        return Err(BookError::Newer { found: head.format_version });
    }
    let read: Result<File<Pupil>, _> = ron::from_str(text);
    let pupil = read.map_err(|error| malformed(damage(&error.code), error.span.start.line))?.pupil;
    check(&pupil).map_err(|error| malformed(error.to_string(), 1))?;
    Ok((pupil, seen))
}

fn written(pupil: &Pupil) -> Result<String, BookError> {
    let pretty = ron::ser::PrettyConfig::default().struct_names(false).depth_limit(6);
    let text = ron::ser::to_string_pretty(&File { format_version: FORMAT_VERSION, pupil }, pretty)?;
    Ok(format!("LessonBook{text}\n"))
}

fn check(pupil: &Pupil) -> Result<(), BookError> {
    pupil.problem().map_or(Ok(()), |problem| Err(BookError::Asked(problem)))
}

/// A name as the name of a file.
fn stem(name: &str) -> String {
    let plain: String =
        name.chars().map(|c| if c.is_alphanumeric() || " -".contains(c) { c } else { '_' }).collect();
    let plain: String = plain.trim().chars().take(MOST_LETTERS).collect();
    if plain.is_empty() { "pupil".to_owned() } else { plain }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::{Family, Setup};

    fn figures() -> Figures {
        Figures::of(&Setup::for_family(Family::Viola))
    }

    fn day(date: &str, tempo: u16) -> Day {
        let date = date.parse().unwrap();
        Day { date, tempo: Some(tempo), marked: Some(96), note: "bars 5-8 in one bow".to_owned() }
    }

    fn names(folder: &Path) -> Vec<String> {
        Book::read(folder).unwrap().pupils.into_iter().map(|kept| kept.pupil.name).collect()
    }

    #[test]
    fn pupils_are_kept_each_in_a_file_renamed_and_taken_out() {
        let folder = tempfile::tempdir().unwrap();
        let book = folder.path().join("book");
        assert!(names(&book).is_empty());
        let ada = Book::add(&book, " Ada ", Some(figures())).unwrap();
        Book::add(&book, "bo/../x", None).unwrap();
        assert_eq!(names(&book), ["Ada", "bo/../x"]);
        assert_eq!(fs::read_dir(&book).unwrap().count(), 2, "a name leads to no other folder");
        assert!(Book::add(&book, "ada", None).is_err() && Book::add(&book, "  ", None).is_err());
        Book::change(&ada, |pupil| pupil.name = "Zoe".to_owned()).unwrap();
        assert!(Book::change(&ada, |pupil| pupil.name = "Bo/../X".to_owned()).is_err());
        assert_eq!(names(&book), ["bo/../x", "Zoe"]);
        assert_eq!(Book::read(&book).unwrap().named("zoe").unwrap().pupil.figures, Some(figures()));
        Book::remove(&ada);
        assert_eq!(names(&book), ["bo/../x"]);
    }

    /// A lesson in the folder of the book is found again where both are moved together.
    #[test]
    fn lessons_are_listed_with_their_days_and_found_again_in_a_moved_folder() {
        let folder = tempfile::tempdir().unwrap();
        let book = folder.path().join("book");
        let ada = Book::add(&book, "Ada", None).unwrap();
        let (inside, outside) = (book.join("songs/one.elbowroom"), folder.path().join("two.elbowroom"));
        let write = |lesson: &Path, day: Day| {
            Book::change(&ada, |pupil| pupil.write_down(&book, "Song", lesson, day)).unwrap();
        };
        write(&inside, day("2026-11-21", 60));
        write(&outside, day("2026-11-20", 50));
        write(&inside, day("2026-11-28", 66));
        write(&inside, day("2026-11-28", 72));
        let moved = folder.path().join("moved");
        fs::rename(&book, &moved).unwrap();
        let read = Book::read(&moved).unwrap();
        let pupil = &read.pupils[0].pupil;
        assert_eq!(pupil.last(), Some("2026-11-28".parse().unwrap()));
        let found = pupil.listed(&moved, &moved.join("songs/one.elbowroom")).unwrap();
        let tempos: Vec<_> = found.days.iter().map(|day| day.tempo).collect();
        assert_eq!(tempos, [Some(72), Some(60)], "the latest first, a day once");
        assert_eq!(pupil.lessons[0], *found, "the lesson of the latest day first");
        assert!(pupil.listed(&moved, &outside).is_some());
        assert_eq!(read.with_lesson(&outside).count(), 1);
        let text = fs::read_to_string(moved.join("Ada.pupil")).unwrap();
        assert!(text.starts_with("LessonBook(") && text.contains("date: \"2026-11-28\""), "{text}");
    }

    #[test]
    fn a_damaged_file_is_told_and_never_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let ada = Book::add(folder.path(), "Ada", Some(figures())).unwrap();
        Book::add(folder.path(), "Bo", None).unwrap();
        let whole = fs::read_to_string(&ada).unwrap();
        let newer = whole.replace("format_version: 1", "format_version: 2");
        let mute = whole.replace("slowest_whole_bow_s: 20.0", "slowest_whole_bow_s: -1.0");
        assert!(newer != whole && mute != whole);
        for damaged in [&whole[..whole.len() / 2], "", "\u{0}", newer.as_str(), mute.as_str()] {
            fs::write(&ada, damaged).unwrap();
            let book = Book::read(folder.path()).unwrap();
            assert_eq!((book.pupils.len(), book.unread.len()), (1, 1), "the others are read");
            assert_eq!(book.unread[0].file, ada);
            assert!(Book::change(&ada, |pupil| pupil.name = "Cy".to_owned()).is_err());
            assert_eq!(fs::read_to_string(&ada).unwrap(), damaged);
        }
        let why = |text: &str| {
            fs::write(&ada, text).unwrap();
            Book::read(folder.path()).unwrap().unread[0].why.clone()
        };
        assert!(why(&newer).contains("format 2"));
        assert!(why(&mute).contains("slowest whole bow"), "{}", why(&mute));
        // Another of that name gets a file of its own.
        let beside = Book::add(folder.path(), "Ada", None).unwrap();
        assert_eq!(beside, folder.path().join("Ada 2.pupil"));
    }

    #[test]
    fn what_may_have_no_end_is_not_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        fs::create_dir(folder.path().join("a.pupil")).unwrap();
        #[cfg(unix)]
        {
            let path = folder.path().join("b.pupil");
            assert!(std::process::Command::new("mkfifo").arg(path).status().unwrap().success());
            std::os::unix::fs::symlink("/dev/zero", folder.path().join("c.pupil")).unwrap();
        }
        let book = Book::read(folder.path()).unwrap();
        assert!(book.pupils.is_empty() && !book.unread.is_empty());
    }

    #[test]
    fn a_note_has_an_end() {
        let folder = tempfile::tempdir().unwrap();
        let ada = Book::add(folder.path(), "Ada", None).unwrap();
        let lesson = Path::new("/songs/one.elbowroom");
        let long = Day { note: "x".repeat(10_000), ..day("2026-11-28", 60) };
        assert!(Book::change(&ada, |pupil| pupil.write_down(folder.path(), "Song", lesson, long)).is_err());
        assert!(Book::read(folder.path()).unwrap().pupils[0].pupil.lessons.is_empty());
    }
}
