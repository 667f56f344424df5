//! Opening a file of either kind: a lesson, or a score of which one part is then read.

use std::{io::Read, path::Path};

use super::{
    lesson_file::{self, LessonFileError},
    limit::{LIMIT, ReadError, read_all, read_file},
    musicxml::{self, Document, ImportError},
    saving::Seen,
};
use crate::{lesson::Lesson, setup::Family};

/// The instrument taken where a file does not tell it, assumed, and the words that say so.
pub const UNTOLD: (Family, &str) = (Family::Viola, "the file does not tell the instrument; viola is assumed");

/// What a file holds.
#[derive(Debug)]
pub enum Opened {
    /// A lesson, and what its file held.
    Lesson(Box<Lesson>, Seen),
    /// A score.
    Score(Box<Document>),
}

/// Why a file cannot be opened.
#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    /// It cannot be read.
    #[error(transparent)]
    Read(#[from] ReadError),
    /// A lesson file that cannot be read.
    #[error(transparent)]
    Lesson(#[from] LessonFileError),
    /// Anything else, and not a score that can be read.
    #[error(transparent)]
    Score(#[from] ImportError),
}

/// Opens what comes from `source`; which kind it is, is told by the content.
///
/// # Errors
/// When it cannot be read, is larger than [`LIMIT`], or is neither a lesson nor a score that can be
/// read. Never panics.
pub fn open(source: impl Read) -> Result<Opened, OpenError> {
    opened(&read_all(source, LIMIT)?, false)
}

/// Opens a file. One with the name of a lesson that holds neither a lesson nor a score is a damaged
/// lesson.
///
/// # Errors
/// As [`open`]; and when it is no file, which is never waited for.
pub fn open_file(path: &Path) -> Result<Opened, OpenError> {
    let is_named = path.extension().is_some_and(|ending| ending.eq_ignore_ascii_case(lesson_file::ENDING));
    opened(&read_file(path, LIMIT)?, is_named)
}

fn opened(bytes: &[u8], is_named_lesson: bool) -> Result<Opened, OpenError> {
    let lesson = || Ok(Opened::Lesson(Box::new(lesson_file::read_bytes(bytes)?), Seen::of(bytes)));
    if lesson_file::is_lesson(bytes) {
        return lesson();
    }
    match musicxml::open(bytes) {
        Ok(document) => Ok(Opened::Score(Box::new(document))),
        Err(_) if is_named_lesson => lesson(),
        Err(error) => Err(error.into()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{exchange::sentence, lesson::demo::demo};

    #[test]
    fn the_kind_is_told_by_the_content() {
        let lesson = lesson_file::write(&demo()).unwrap();
        let seen = Seen::of(lesson.as_bytes());
        assert!(
            matches!(open(lesson.as_bytes()), Ok(Opened::Lesson(read, s)) if *read == demo() && s == seen)
        );
        let score = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/duo.musicxml");
        assert!(matches!(open_file(&score), Ok(Opened::Score(document)) if document.parts().len() == 2));
    }

    #[test]
    fn what_is_too_large_or_no_text_is_refused_in_words() {
        let endless = std::io::repeat(b' ');
        assert_eq!(
            sentence(&open(endless).unwrap_err()),
            "the file is larger than 64 MiB, which none of its kind is"
        );
        let mut damaged = lesson_file::write(&demo()).unwrap().into_bytes();
        damaged[100] = 0xFF;
        let words = sentence(&open(damaged.as_slice()).unwrap_err());
        assert!(words.starts_with("the lesson file is damaged: not UTF-8 text (line "), "{words}");
        let missing = sentence(&open_file(Path::new("no such folder/a.mxl")).unwrap_err());
        assert!(missing.starts_with("the file cannot be read: "), "{missing}");
    }

    /// As it is after a power cut on some file systems (zeros, nothing), and after a bad disk.
    #[test]
    fn a_damaged_lesson_is_called_one() {
        let folder = tempfile::tempdir().unwrap();
        let whole = lesson_file::write(&demo()).unwrap().into_bytes();
        let path = folder.path().join("Song.Elbowroom");
        for damaged in [&b""[..], &[0; 4096], &whole[1..], &whole[..5], &whole[..2000], b"other words"] {
            std::fs::write(&path, damaged).unwrap();
            let words = sentence(&open_file(&path).unwrap_err());
            assert!(words.starts_with("the lesson file is damaged: "), "{words}");
            assert!(words.contains("an earlier version"), "{words}");
        }
        // A score stays one, whatever it is called.
        std::fs::copy(Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/duo.musicxml"), &path).unwrap();
        assert!(matches!(open_file(&path), Ok(Opened::Score(_))));
    }

    #[test]
    fn what_may_have_no_end_is_not_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        assert!(matches!(open_file(folder.path()), Err(OpenError::Read(ReadError::NoFile))));
        #[cfg(unix)]
        {
            let pipe = folder.path().join("pipe");
            assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
            for endless in [pipe.as_path(), Path::new("/dev/zero")] {
                assert!(
                    matches!(open_file(endless), Err(OpenError::Read(ReadError::NoFile))),
                    "{}",
                    endless.display()
                );
            }
        }
    }
}
