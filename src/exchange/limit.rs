//! How much is read at most. What may have no end is not waited for.

use std::{
    fs::File,
    io::{self, Read},
    path::Path,
};

/// Largest lesson or score read, and largest text unpacked from one, bytes. Assumed; the largest score
/// seen has 11.5 MB.
pub const LIMIT: u64 = 64 << 20;
/// Largest file of the program's own read, bytes: what the window remembers, the players that are kept.
/// Assumed: thousands of players.
pub const OWN_LIMIT: u64 = 4 << 20;

/// Why a file was not read.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// The disk or the folder refused.
    #[error("the file cannot be read")]
    Io(#[from] io::Error),
    /// A folder, a pipe or a device, which may have no end.
    #[error("this is no file but a folder, a pipe or a device; what comes through a pipe is read from -")]
    NoFile,
    /// Larger than any of its kind is.
    #[error("the file is larger than {} MiB, which none of its kind is", .0 >> 20)]
    TooLarge(u64),
}

/// All that comes from `source`, if it is not more than `limit` bytes.
///
/// # Errors
/// When it cannot be read or is more.
pub fn read_all(source: impl Read, limit: u64) -> Result<Vec<u8>, ReadError> {
    let mut bytes = Vec::new();
    source.take(limit + 1).read_to_end(&mut bytes)?;
    if bytes.len() as u64 > limit { Err(ReadError::TooLarge(limit)) } else { Ok(bytes) }
}

/// What a file holds, if it is not more than `limit` bytes.
///
/// # Errors
/// When it cannot be read, is more, or is no file.
pub fn read_file(path: &Path, limit: u64) -> Result<Vec<u8>, ReadError> {
    // Opening a pipe waits for a writer, so it is asked before.
    if !std::fs::metadata(path)?.is_file() {
        return Err(ReadError::NoFile);
    }
    read_all(File::open(path)?, limit)
}

/// The text of a file of the program's own; none where there is none, or nothing legible.
pub fn read_own(path: &Path) -> Option<String> {
    String::from_utf8(read_file(path, OWN_LIMIT).ok()?).ok()
}
