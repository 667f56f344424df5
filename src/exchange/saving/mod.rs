//! Writing a file whole or not at all.
//!
//! The new contents are written beside the old file, brought to the disk, and put in its place in one
//! step; then the folder is brought to the disk too. Whenever the power goes, the file is the old one
//! or the new one, never between. What is left lying by a program that was stopped in the middle is
//! cleared away at the next save in that folder.
//!
//! A symbolic link stays one: the file it leads to is replaced. Rights are kept, and the owner where
//! that is allowed; a new file has the rights the user's mask gives. What cannot be replaced without
//! harm is told: a file nobody may write, one with several names, a pipe, a device.

mod disk;
#[cfg(test)]
mod faults;
mod seen;
mod together;

use std::{
    ffi::OsStr,
    hash::{BuildHasher as _, Hasher as _, RandomState},
    io,
    path::{Path, PathBuf},
};

use disk::{Disk, Kind, Standing, System};

pub use seen::Seen;
pub use together::Together;

/// Most links that follow one another. As many as Linux follows (path_resolution(7)).
const MOST_LINKS: usize = 40;
/// Names tried for a new file before giving up. One nearly always does; assumed.
const MOST_NAMES: usize = 8;
/// How a file begins that is being written, and how it ends.
const PART: (&str, &str) = (".elbowroom-", ".part");

/// Why a file was not saved. But for [`SaveError::Unconfirmed`] the old one is untouched.
#[derive(Debug, thiserror::Error)]
pub enum SaveError {
    /// Nobody may write it, or this user may not.
    #[error("the file is read-only; save under another name")]
    ReadOnly,
    /// Replacing it would leave its other names with the old contents.
    #[error(
        "the file has {0} names (hard links), and the others would keep the old contents; save under another name"
    )]
    HardLinks(u64),
    /// A folder, pipe, device or the like.
    #[error("this is a {0}, not a file; save under another name")]
    NoFile(&'static str),
    /// Links that lead in a circle.
    #[error("more than {MOST_LINKS} links follow one another")]
    Links,
    /// There is no folder for it.
    #[error("there is no folder {}; make it first, or choose another", .0.display())]
    NoFolder(PathBuf),
    /// The file is not the one that was seen last.
    #[error("the file has changed on the disk since it was opened")]
    Changed,
    /// There is a file where a new one was to be.
    #[error("there is a file of that name already")]
    Exists,
    /// It is in its place, but may not last.
    #[error("the file is written, but the disk does not confirm that it will last; save again")]
    Unconfirmed(#[source] io::Error),
    /// Nothing more fits on the disk, or into what this user may fill.
    #[error("the disk is full; make room on it, or choose another")]
    Full,
    /// The disk or the folder refused.
    #[error("the file cannot be written")]
    Io(#[source] io::Error),
}

impl From<io::Error> for SaveError {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded => Self::Full,
            _ => Self::Io(error),
        }
    }
}

/// What may be lost by saving in its place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Over {
    /// Nothing: it is to be a new file.
    Nothing,
    /// What was seen there last, or nothing.
    Seen(Seen),
    /// Whatever is there.
    Anything,
}

/// Saves a file in the place of what may be lost.
///
/// # Errors
/// Says why it was not; [`SaveError::Exists`] and [`SaveError::Changed`] where something else is in its
/// place.
pub fn save(path: &Path, bytes: &[u8], over: Over) -> Result<(), SaveError> {
    save_on(&System, path, &mut |write| write(bytes), over)
}

/// Saves a file that is made piece by piece, in the place of what may be lost. `pieces` hands each one on to be
/// written, in order, and returns after the last.
///
/// # Errors
/// Says why it was not saved; [`SaveError::Io`] with what `pieces` gave when it failed or broke off.
pub fn save_pieces(path: &Path, over: Over, pieces: &mut Pieces<'_>) -> Result<(), SaveError> {
    save_on(&System, path, pieces, over)
}

/// Hands the pieces of a file on, one after another.
pub type Pieces<'a> = dyn FnMut(&mut dyn FnMut(&[u8]) -> io::Result<()>) -> io::Result<()> + 'a;

/// Saves a file in the place of whatever is there.
///
/// # Errors
/// Says why it was not.
pub fn save_whole(path: &Path, bytes: &[u8]) -> Result<(), SaveError> {
    save(path, bytes, Over::Anything)
}

/// Takes back files that were saved as parts of something that was not finished. What cannot be removed stays: it is
/// whole.
pub fn take_back(paths: &[PathBuf]) {
    paths.iter().for_each(|path| drop(System.remove(path)));
}

/// The files in the folder of a file, in the order of their names; none where it cannot be looked into.
fn beside(path: &Path) -> Vec<PathBuf> {
    let mut names = System.names(folder_of(path)).unwrap_or_default();
    names.sort_unstable();
    names
}

/// The files beside a file that are named as it is with a number: "part-2.svg" beside "part.svg".
pub fn numbered_beside(path: &Path) -> Vec<PathBuf> {
    let words = |name: Option<&OsStr>| name.unwrap_or_default().to_string_lossy().into_owned();
    let stem = words(path.file_stem());
    let is_numbered = |file: &PathBuf| {
        let name = words(file.file_stem());
        let number = name.strip_prefix(&stem).and_then(|rest| rest.strip_prefix('-')).unwrap_or_default();
        file.extension() == path.extension()
            && !number.is_empty()
            && number.bytes().all(|byte| byte.is_ascii_digit())
    };
    beside(path).into_iter().filter(is_numbered).collect()
}

/// What a file holds now; none where there is none.
///
/// # Errors
/// When it cannot be read.
pub fn seen_now(path: &Path) -> io::Result<Option<Seen>> {
    now(&System, path)
}

/// The file a path leads to, symbolic links followed; what there is none of yet is given too.
///
/// # Errors
/// When links lead in a circle, or a folder cannot be read.
pub fn followed(path: &Path) -> Result<PathBuf, SaveError> {
    Ok(follow(&System, path)?.0)
}

fn save_on(disk: &impl Disk, path: &Path, pieces: &mut Pieces<'_>, over: Over) -> Result<(), SaveError> {
    let (path, old) = follow(disk, path)?;
    if let Some(old) = &old {
        if over == Over::Nothing {
            return Err(SaveError::Exists);
        }
        check(disk, &path, old)?;
    }
    let folder = folder_of(&path);
    clear(disk, folder);
    let mut part = Part::create(disk, folder, old.as_ref()).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => SaveError::NoFolder(folder.to_owned()),
        _ => error.into(),
    })?;
    pieces(&mut |bytes| disk.write(&mut part.file, bytes))?;
    if let Some(old) = &old {
        disk.give_rights(&part.file, old)?;
    }
    disk.sync(&part.file)?;
    // As late as can be.
    match over {
        Over::Nothing if disk.standing(&path)?.is_some() => return Err(SaveError::Exists),
        Over::Seen(seen) if old.is_some() && now(disk, &path)?.is_some_and(|now| now != seen) => {
            return Err(SaveError::Changed);
        }
        Over::Nothing | Over::Seen(_) | Over::Anything => {}
    }
    part.put(&path)?;
    disk.sync_folder(folder).map_err(SaveError::Unconfirmed)
}

fn folder_of(path: &Path) -> &Path {
    path.parent().filter(|folder| !folder.as_os_str().is_empty()).unwrap_or(Path::new("."))
}

/// Where a path leads in the end, and what stands there.
fn follow(disk: &impl Disk, path: &Path) -> Result<(PathBuf, Option<Standing>), SaveError> {
    let mut path = path.to_owned();
    for _ in 0..=MOST_LINKS {
        match disk.standing(&path)? {
            Some(standing) if standing.kind == Kind::Link => {
                let to = disk.link(&path)?;
                path = path.parent().unwrap_or(Path::new("")).join(to);
            }
            standing => return Ok((path, standing)),
        }
    }
    Err(SaveError::Links)
}

/// Refuses what cannot be replaced without harm.
fn check(disk: &impl Disk, path: &Path, old: &Standing) -> Result<(), SaveError> {
    if let Kind::Other(word) = old.kind {
        return Err(SaveError::NoFile(word));
    }
    if old.names > 1 {
        return Err(SaveError::HardLinks(old.names));
    }
    if old.is_read_only {
        return Err(SaveError::ReadOnly);
    }
    disk.may_write(path).map_err(|error| match error.kind() {
        io::ErrorKind::PermissionDenied => SaveError::ReadOnly,
        _ => error.into(),
    })
}

/// What a file holds now; none where it is gone.
fn now(disk: &impl Disk, path: &Path) -> io::Result<Option<Seen>> {
    let mut seen = Seen::EMPTY;
    match disk.read(path, &mut |piece| seen.take(piece)) {
        Ok(()) => Ok(Some(seen)),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error),
    }
}

/// Clears away what was left lying. Each is a file this program began and nobody writes any more; that
/// one cannot be removed does not stand in the way of saving.
fn clear(disk: &impl Disk, folder: &Path) {
    for path in disk.names(folder).unwrap_or_default() {
        let name = path.file_name().unwrap_or_default().to_string_lossy();
        if name.starts_with(PART.0) && name.ends_with(PART.1) {
            let _ = disk.remove_unheld(&path);
        }
    }
}

/// A file that is being written beside the one it is to replace. Removed again unless it was put there.
struct Part<'a, D: Disk> {
    disk: &'a D,
    file: D::File,
    path: Option<PathBuf>,
}

impl<'a, D: Disk> Part<'a, D> {
    fn create(disk: &'a D, folder: &Path, old: Option<&Standing>) -> io::Result<Self> {
        for _ in 0..MOST_NAMES {
            let path = folder.join(format!("{}{:016x}{}", PART.0, chance(), PART.1));
            let file = match disk.create(&path, old) {
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => continue,
                file => file?,
            };
            let part = Self { disk, file, path: Some(path.clone()) };
            // Where the file system knows no locks, nobody can take this for left lying either.
            // Another program that clears up may have come between: then under another name.
            if disk.hold(&part.file).unwrap_or(true) && disk.standing(&path)?.is_some() {
                return Ok(part);
            }
        }
        Err(io::Error::new(io::ErrorKind::AlreadyExists, "no free name for a new file was found"))
    }

    /// Puts it in the place of another file.
    fn put(mut self, path: &Path) -> io::Result<()> {
        if let Some(part) = &self.path {
            self.disk.rename(part, path)?;
        }
        self.path = None;
        Ok(())
    }
}

impl<D: Disk> Drop for Part<'_, D> {
    fn drop(&mut self) {
        if let Some(path) = &self.path {
            // It could not be saved; what could not be removed is cleared away at the next save.
            let _ = self.disk.remove(path);
        }
    }
}

/// A number that no other program has just now.
pub(super) fn chance() -> u64 {
    RandomState::new().build_hasher().finish()
}
