//! A lesson as a score file: written into the one it was read from, or as a new one.

use std::path::{Path, PathBuf};

use crate::{analysis::Study, lesson::Lesson};

use super::{
    limit::{LIMIT, ReadError, read_file},
    musicxml::{
        self, BackError, Besides, ImportError, OtherParts, WrittenBack, pack, unpack, write_back, write_new,
    },
};

/// How the music stands in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ScoreKind {
    /// Text.
    Plain,
    /// An archive.
    Compressed,
}

impl ScoreKind {
    /// The kind a name asks for by its ending: .musicxml or .xml, .mxl; none of another ending.
    pub fn of_name(path: &Path) -> Option<Self> {
        match path.extension()?.to_str()?.to_lowercase().as_str() {
            "musicxml" | "xml" => Some(Self::Plain),
            "mxl" => Some(Self::Compressed),
            _ => None,
        }
    }

    fn of_bytes(bytes: &[u8]) -> Self {
        if musicxml::is_archive(bytes) { Self::Compressed } else { Self::Plain }
    }
}

/// Why a lesson was not made a score file.
#[derive(Debug, thiserror::Error)]
pub enum ScoreFileError {
    /// The score file it was read from is gone.
    #[error("the score file the lesson was read from is not there any more: {}", .0.display())]
    Gone(PathBuf),
    /// That file cannot be read.
    #[error(transparent)]
    Unread(#[from] ReadError),
    /// It is no score that can be read, or has no such part.
    #[error(transparent)]
    Score(#[from] ImportError),
    /// It does not take the lesson.
    #[error(transparent)]
    Back(#[from] BackError),
}

/// The part of a score file that a lesson is written into.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IntoScore {
    /// The file.
    pub file: PathBuf,
    /// Id of the part in it.
    pub part: String,
    /// What becomes of the other parts where bars come or go.
    pub others: OtherParts,
}

impl IntoScore {
    /// Where a lesson was read from; a file that has moved is found beside the lesson, in this folder. None
    /// for a lesson that was typed in.
    ///
    /// # Errors
    /// When the file is at neither place.
    pub fn of(lesson: &Lesson, folder: &Path) -> Result<Option<Self>, ScoreFileError> {
        let Some(source) = &lesson.source else { return Ok(None) };
        let there = PathBuf::from(&source.file);
        let beside = there.file_name().map(|name| folder.join(name));
        let file = [Some(there.clone()), beside].into_iter().flatten().find(|path| path.is_file());
        let file = file.ok_or(ScoreFileError::Gone(there))?;
        Ok(Some(Self { file, part: source.part.clone(), others: OtherParts::Stay }))
    }
}

/// The bytes of a score file with the lesson in it: those of the file it is written into with what was
/// changed, or (without one) those of a new file; with what is wanted besides.
///
/// # Errors
/// When the file cannot be read, or has other notes than the lesson.
pub fn score_bytes(
    study: &Study,
    into: Option<&IntoScore>,
    kind: ScoreKind,
    besides: Besides,
) -> Result<WrittenBack, ScoreFileError> {
    let written = match into {
        None => WrittenBack { bytes: write_new(study, besides), changes: 0, left: Vec::new() },
        Some(into) => {
            let source = read_file(&into.file, LIMIT)?;
            let part = musicxml::open(&source)?.part_of(&into.part)?;
            write_back(study, &source, part, besides, into.others)?
        }
    };
    let bytes = match (ScoreKind::of_bytes(&written.bytes), kind) {
        (ScoreKind::Plain, ScoreKind::Compressed) => pack(&written.bytes)?,
        (ScoreKind::Compressed, ScoreKind::Plain) => unpack(&written.bytes)?,
        _ => written.bytes,
    };
    Ok(WrittenBack { bytes, ..written })
}
