//! The lesson file: RON text with a format version.
//!
//! It is saved whole or not at all, see [`saving`](super::saving).

use std::{fs, path::Path, time::SystemTime};

use serde::{Deserialize, Serialize};

use super::{
    limit::{LIMIT, read_file},
    saving::{SaveError, save_whole},
};
use crate::lesson::{Lesson, LessonError};

/// The newest version. Older ones are read, newer ones refused.
pub const FORMAT_VERSION: u32 = 4;
/// The versions without a handout, without own words and the newer blocks of a handout, and without earlier versions
/// in other bars or with another set-up. A lesson is written in the oldest that says all of it, for earlier programs
/// to open.
const WITHOUT_HANDOUT: u32 = 1;
const WITHOUT_NEWER_BLOCKS: u32 = 2;
const WITHOUT_WHOLE_VERSIONS: u32 = 3;
/// The ending of a lesson file.
pub const ENDING: &str = "elbowroom";

/// Why a lesson file cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum LessonFileError {
    /// Damaged, or no lesson file.
    #[error(
        "the lesson file is damaged: {message} (line {line}, column {column}); open an earlier version of it"
    )]
    Malformed {
        /// What the reader says.
        message: String,
        /// Line, from 1.
        line: usize,
        /// Column, from 1.
        column: usize,
    },
    /// Written by a newer version of the program.
    #[error(
        "the lesson was saved in format {found}; this program reads up to {FORMAT_VERSION}. A newer version opens it"
    )]
    Newer {
        /// The version in the file.
        found: u32,
    },
    /// Read, but its parts contradict each other.
    #[error("the lesson file contradicts itself: {0}")]
    Contradiction(#[from] LessonError),
    /// A number in the lesson cannot be written.
    #[error("the lesson cannot be written: {0}")]
    Unwritable(#[from] ron::Error),
    /// The file was not saved.
    #[error(transparent)]
    Save(#[from] SaveError),
}

#[derive(Deserialize)]
#[serde(rename = "Elbowroom")]
struct Head {
    format_version: u32,
}

#[derive(Serialize, Deserialize)]
#[serde(rename = "Elbowroom")]
struct File<L> {
    format_version: u32,
    lesson: L,
}

/// True when the bytes begin like a lesson file.
pub fn is_lesson(bytes: &[u8]) -> bool {
    let text = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
    let start = text.iter().position(|byte| !byte.is_ascii_whitespace()).unwrap_or(0);
    text[start..].starts_with(b"Elbowroom(") || text[start..].starts_with(b"(format_version")
}

fn options() -> ron::Options {
    ron::Options::default()
}

/// Reads the bytes of a lesson file.
///
/// # Errors
/// As [`read`], and when they are no text.
pub fn read_bytes(bytes: &[u8]) -> Result<Lesson, LessonFileError> {
    read(std::str::from_utf8(bytes).map_err(|error| {
        let whole = &bytes[..error.valid_up_to()];
        let line = whole.rsplit(|byte| *byte == b'\n').next().unwrap_or_default();
        LessonFileError::Malformed {
            message: "not UTF-8 text".to_owned(),
            line: whole.iter().filter(|byte| **byte == b'\n').count() + 1,
            column: line.len() + 1,
        }
    })?)
}

/// Reads the text of a lesson file.
///
/// # Errors
/// When it is damaged, newer than this program, or contradicts itself.
pub fn read(text: &str) -> Result<Lesson, LessonFileError> {
    let text = text.strip_prefix('\u{FEFF}').unwrap_or(text);
    // The version alone first: a newer file may hold what this program has no word for.
    let malformed = |error: ron::error::SpannedError| LessonFileError::Malformed {
        message: damage(&error.code),
        line: error.span.start.line,
        column: error.span.start.col,
    };
    if let Ok(head) = options().from_str::<Head>(text)
        && head.format_version > FORMAT_VERSION
    {
        return Err(LessonFileError::Newer { found: head.format_version });
    }
    let file: File<Lesson> = options().from_str(text).map_err(malformed)?;
    Ok(file.lesson.checked()?)
}

/// What is wrong with a text that is none of the program's own.
pub(super) fn damage(error: &ron::Error) -> String {
    match error {
        ron::Error::Message(words) => words.clone(),
        ron::Error::Eof => "it ends too early".to_owned(),
        ron::Error::TrailingCharacters => "something follows its end".to_owned(),
        ron::Error::NoSuchStructField { found, .. } | ron::Error::NoSuchEnumVariant { found, .. } => {
            format!("{found:?} is nothing that is known here")
        }
        ron::Error::MissingStructField { field, .. } => format!("{field:?} is missing"),
        ron::Error::DuplicateStructField { field, .. } => format!("{field:?} stands here twice"),
        ron::Error::IntegerOutOfBounds => "a number is out of all bounds".to_owned(),
        _ => "a sign is missing, or something else stands here than should".to_owned(),
    }
}

/// The text of a lesson file.
///
/// # Errors
/// Only when a number in the lesson cannot be written.
pub fn write(lesson: &Lesson) -> Result<String, LessonFileError> {
    let pretty = ron::ser::PrettyConfig::default().struct_names(true).depth_limit(4);
    let format_version = if lesson.handout.has_whole_versions() {
        FORMAT_VERSION
    } else if !lesson.spoken.is_empty() || lesson.handout.has_newer_blocks() {
        WITHOUT_WHOLE_VERSIONS
    } else if !lesson.handout.is_empty() {
        WITHOUT_NEWER_BLOCKS
    } else {
        WITHOUT_HANDOUT
    };
    let file = File { format_version, lesson };
    Ok(ron::ser::to_string_pretty(&file, pretty)? + "\n")
}

/// Saves a lesson file whole or not at all.
///
/// # Errors
/// When the file cannot be written; the old one is then untouched.
pub fn save(path: &Path, lesson: &Lesson) -> Result<(), LessonFileError> {
    Ok(save_whole(path, write(lesson)?.as_bytes())?)
}

/// The bytes of the lesson file that is there now, and since when; none where there is no such file.
pub fn present(path: &Path) -> Option<(Vec<u8>, SystemTime)> {
    let bytes = read_file(path, LIMIT).ok().filter(|bytes| is_lesson(bytes))?;
    Some((bytes, fs::metadata(path).ok()?.modified().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::{
        demo::demo,
        handout::{Before, Block},
    };

    #[test]
    fn what_is_saved_is_read_back() {
        let lesson = demo();
        let text = write(&lesson).unwrap();
        assert!(is_lesson(text.as_bytes()));
        assert_eq!(read(&text).unwrap(), lesson);
    }

    #[test]
    fn a_newer_file_is_refused_by_its_version() {
        let text = write(&demo()).unwrap().replace("format_version: 1", "format_version: 99");
        assert!(matches!(read(&text), Err(LessonFileError::Newer { found: 99 })));
    }

    /// A program that knows no handouts would lose them when it saves.
    #[test]
    fn a_lesson_with_a_handout_is_of_the_newer_format() {
        let mut lesson = demo();
        assert!(write(&lesson).unwrap().contains("format_version: 1"));
        lesson.handout.entries.push(Block::Words("Start *near the frog*.\n\n- slowly".to_owned()).into());
        let text = write(&lesson).unwrap();
        assert!(text.contains("format_version: 2"));
        assert_eq!(read(&text).unwrap(), lesson);
        let practice = Block::Practice { bars: "1".to_owned(), shares: vec![f64::NAN] };
        lesson.handout.entries.push(practice.into());
        let error = read(&write(&lesson).unwrap()).unwrap_err().to_string();
        assert!(error.contains("block 2 of the handout has NaN of the marked tempo"), "{error}");
    }

    /// The same with earlier versions of bars.
    #[test]
    fn a_lesson_with_an_earlier_version_is_of_a_newer_format() {
        let mut earlier = demo();
        earlier.score.slurs.clear();
        let mut slower = earlier.clone();
        slower.setup.tempo_share = 0.75;
        let mut with_repeat = earlier.clone();
        with_repeat.score.bars.get_mut(7).unwrap().repeat_end = true;
        for (earlier, format) in [(earlier, 3), (slower, 4), (with_repeat, 4)] {
            let mut lesson = demo();
            let before = Before::of("as it was", &lesson, &earlier);
            assert_eq!(before.lesson(&lesson).unwrap(), earlier);
            lesson.handout.entries.push(Block::Versions { bars: "1-8".to_owned(), before }.into());
            let text = write(&lesson).unwrap();
            assert!(text.contains(&format!("format_version: {format}")));
            assert_eq!(read(&text).unwrap(), lesson);
        }
    }

    /// A program that knows no passage in words would lose the teacher's words when it saves.
    #[test]
    fn a_lesson_with_own_words_is_of_a_newer_format() {
        let lesson = demo();
        let event = lesson.score.events[0].id;
        let edit = crate::lesson::change::speak(&lesson, "start", event, "Start.", Some("Breathe.")).unwrap();
        let (spoken, back) = edit.apply(&lesson).unwrap();
        let text = write(&spoken).unwrap();
        assert!(text.contains("format_version: 3"));
        assert_eq!(read(&text).unwrap(), spoken);
        assert_eq!(back.apply(&spoken).unwrap().0, lesson);
        let mut on_page = lesson;
        on_page.handout.entries.push(Block::InWords { bars: "1-4".to_owned() }.into());
        assert!(write(&on_page).unwrap().contains("format_version: 3"));
    }

    #[test]
    fn a_file_cut_anywhere_is_an_error_not_a_panic() {
        let text = write(&demo()).unwrap();
        let whole = text.trim_end().len();
        for cut in (0..whole).step_by(97).chain([whole - 1]) {
            assert!(read(&text[..cut]).is_err(), "cut at {cut}");
        }
    }

    #[test]
    fn a_contradiction_is_told() {
        let mut lesson = demo();
        lesson.score.events.remove(0);
        let id = lesson.score.free_slur_id();
        lesson.score.slurs.push(crate::score::Slur {
            id,
            from: crate::score::EventId(9999),
            to: crate::score::EventId(9998),
            phrase: false,
        });
        assert!(matches!(read(&write(&lesson).unwrap()), Err(LessonFileError::Contradiction(_))));
    }

    /// Each number with a fraction in its place, whatever it stands for, made one that no figure is.
    #[test]
    fn no_figure_may_be_absurd() {
        let text = write(&demo()).unwrap();
        let is_digit = |c: char| c.is_ascii_digit();
        let points = text.match_indices('.').map(|(at, _)| at);
        let numbers = points.filter(|at| text[at + 1..].starts_with(is_digit)).map(|at| {
            let from = text[..at].rfind(|c: char| !is_digit(c) && c != '-').map_or(0, |before| before + 1);
            let to = text[at + 1..].find(|c: char| !is_digit(c) && c != 'e' && c != '-').unwrap_or(0);
            from..at + 1 + to
        });
        for place in numbers {
            for absurd in ["NaN", "inf", "-inf", "1e300", "-1e300"] {
                let damaged = [&text[..place.start], absurd, &text[place.end..]].concat();
                let line = text[..place.start].lines().last().unwrap();
                let error = read(&damaged).expect_err(line).to_string();
                let is_told =
                    error.contains("must lie between") || error.contains("a pitch that no string has");
                assert!(is_told, "{line}{absurd}: {error}");
            }
        }
    }

    #[test]
    fn a_failed_save_leaves_the_old_file_whole() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.elbowroom");
        save(&path, &demo()).unwrap();
        let before = std::fs::read(&path).unwrap();
        assert!(save(&folder.path().join("missing/a.elbowroom"), &demo()).is_err());
        assert_eq!(std::fs::read(&path).unwrap(), before);
        assert_eq!(read(&std::fs::read_to_string(&path).unwrap()).unwrap(), demo());
    }

    #[test]
    fn every_version_ever_written_is_still_read() {
        let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data/lessons");
        let mut count = 0;
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            let text = std::fs::read_to_string(&path).unwrap();
            read(&text).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
            count += 1;
        }
        assert!(count > 0);
    }
}
