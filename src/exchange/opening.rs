//! Opening a file of either kind: a lesson, or a score of which one part is then read.

use std::{fs::File, io::Read, path::Path, str::Utf8Error};

use super::{
    LIMIT,
    lesson_file::{self, LessonFileError},
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
    /// The disk or the folder refused.
    #[error("the file cannot be read")]
    Io(#[from] std::io::Error),
    /// A folder, a pipe or a device, which may have no end.
    #[error("this is no file but a folder, a pipe or a device; what comes through a pipe is read from -")]
    NoFile,
    /// Larger than any real lesson or score.
    #[error("the file is larger than {} MiB, which no lesson and no score is", LIMIT >> 20)]
    TooLarge,
    /// Begins like a lesson file and is no text.
    #[error("a lesson file must be UTF-8 text")]
    NotText(#[from] Utf8Error),
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
    let mut bytes = Vec::new();
    source.take(LIMIT + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > LIMIT {
        return Err(OpenError::TooLarge);
    }
    Ok(if lesson_file::is_lesson(&bytes) {
        Opened::Lesson(Box::new(lesson_file::read(std::str::from_utf8(&bytes)?)?), Seen::of(&bytes))
    } else {
        Opened::Score(Box::new(musicxml::open(&bytes)?))
    })
}

/// Opens a file.
///
/// # Errors
/// As [`open`]; and when it is no file, which is never waited for.
pub fn open_file(path: &Path) -> Result<Opened, OpenError> {
    // Opening a pipe waits for a writer, so it is asked before.
    if !std::fs::metadata(path)?.is_file() {
        return Err(OpenError::NoFile);
    }
    open(File::open(path)?)
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
            "the file is larger than 64 MiB, which no lesson and no score is"
        );
        let mut damaged = lesson_file::write(&demo()).unwrap().into_bytes();
        damaged[100] = 0xFF;
        let words = sentence(&open(damaged.as_slice()).unwrap_err());
        assert!(words.starts_with("a lesson file must be UTF-8 text: ") && words.ends_with("100"), "{words}");
        let missing = sentence(&open_file(Path::new("no such folder/a.mxl")).unwrap_err());
        assert!(missing.starts_with("the file cannot be read: "), "{missing}");
    }

    #[test]
    fn what_may_have_no_end_is_not_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        assert!(matches!(open_file(folder.path()), Err(OpenError::NoFile)));
        #[cfg(unix)]
        {
            let pipe = folder.path().join("pipe");
            assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
            for endless in [pipe.as_path(), Path::new("/dev/zero")] {
                assert!(matches!(open_file(endless), Err(OpenError::NoFile)), "{}", endless.display());
            }
        }
    }
}
