//! Files that commands write: never over their own input, nor over a file of another kind, unless that
//! is forced.

use std::{
    fs::{self, File},
    io::Read as _,
    path::{Path, PathBuf},
};

use crate::exchange::saving::{self, Pieces, SaveError, followed, save_pieces, save_whole};

use super::{Failure, input::Source};

/// Bytes at the start of a file that tell its kind. Assumed; enough for the head of an SVG file.
const HEAD: u64 = 1024;

#[derive(clap::Args, Debug)]
pub(super) struct Output {
    /// File to write
    #[arg(short = 'o', long = "output", value_name = "OUT")]
    pub path: PathBuf,
    #[command(flatten)]
    pub over: Over,
}

#[derive(clap::Args, Debug)]
pub(super) struct Over {
    /// Write over the input itself, or over a file of another kind
    #[arg(long)]
    pub force: bool,
}

impl Over {
    /// Refuses a file of which something else than this output would be lost.
    pub fn check(&self, path: &Path, source: &Source, is_kind: fn(&[u8]) -> bool) -> Result<(), Failure> {
        // What is no file, or cannot be read, is told when it is written.
        let is_file = fs::metadata(path).is_ok_and(|known| known.is_file());
        if self.force || !is_file {
            return Ok(());
        }
        let refused = |why: &str| {
            let path = path.display();
            Failure(format!("{why}; give another name, or --force to write over it\n  {path}"))
        };
        if is_same(path, &source.file) {
            return Err(refused("the output is the input itself"));
        }
        let mut head = Vec::new();
        let read = File::open(path).and_then(|file| file.take(HEAD).read_to_end(&mut head));
        if read.is_ok() && !head.is_empty() && !is_kind(&head) {
            return Err(refused("there is a file of another kind already"));
        }
        Ok(())
    }

    /// Refuses to number frames among others of the same name.
    pub fn check_strangers(&self, strangers: &[PathBuf]) -> Result<(), Failure> {
        match strangers.last().filter(|_| !self.force) {
            Some(last) => Err(Failure(format!(
                "there are other frames of that name already, which would seem to belong to this film; give another name, or --force to write among them\n  {}",
                last.display()
            ))),
            None => Ok(()),
        }
    }
}

/// Writes a file that was checked.
pub(super) fn write_file(path: &Path, bytes: &[u8]) -> Result<(), Failure> {
    save_whole(path, bytes).map_err(|error| not_written(path, &error))
}

/// Writes a file that was checked, piece by piece.
pub(super) fn write_pieces(path: &Path, pieces: &mut Pieces<'_>) -> Result<(), Failure> {
    save_pieces(path, saving::Over::Anything, pieces).map_err(|error| not_written(path, &error))
}

/// A file that was not written, with its path.
pub(super) fn not_written(path: &Path, error: &SaveError) -> Failure {
    let Failure(words) = Failure::from_error(error);
    Failure(format!("{words}\n  {}", path.display()))
}

/// Both lead to one file.
fn is_same(one: &Path, other: &Path) -> bool {
    let whole = |path: &Path| followed(path).ok().and_then(|path| fs::canonicalize(path).ok());
    whole(one).is_some_and(|one| whole(other) == Some(one))
}
