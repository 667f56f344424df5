//! What the writing path asks of the system, call by call, so that a test can make each call fail.

use std::{
    fs::{self, File, Metadata, OpenOptions, TryLockError},
    io::{self, Read as _, Write as _},
    path::{Path, PathBuf},
};

/// What stands under a path; a link is not followed.
#[derive(Debug)]
pub struct Standing {
    /// A file, a link, or what else.
    pub kind: Kind,
    /// Names this file has (hard links).
    pub names: u64,
    /// Nobody may write it.
    pub is_read_only: bool,
    known: Metadata,
}

/// What can stand under a path.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A file.
    File,
    /// A symbolic link.
    Link,
    /// Neither, with the word for it.
    Other(&'static str),
}

/// The calls of the writing path.
pub trait Disk {
    /// A new file, open for writing.
    type File;

    /// What stands there; none where there is nothing.
    fn standing(&self, path: &Path) -> io::Result<Option<Standing>>;
    /// Where a symbolic link leads.
    fn link(&self, path: &Path) -> io::Result<PathBuf>;
    /// Fails where this user may not write the file.
    fn may_write(&self, path: &Path) -> io::Result<()>;
    /// Hands a file over piece by piece.
    fn read(&self, path: &Path, take: &mut dyn FnMut(&[u8])) -> io::Result<()>;
    /// A new file; fails where one is. It is for this user alone where it will replace `old`, else as
    /// the user's mask has it.
    fn create(&self, path: &Path, old: Option<&Standing>) -> io::Result<Self::File>;
    /// Marks the new file as being written, for as long as it is open; false where another program
    /// holds it.
    fn hold(&self, file: &Self::File) -> io::Result<bool>;
    /// Writes all of it.
    fn write(&self, file: &mut Self::File, bytes: &[u8]) -> io::Result<()>;
    /// Gives the new file the rights of the old one, and its owner where that is allowed.
    fn give_rights(&self, file: &Self::File, old: &Standing) -> io::Result<()>;
    /// Returns once the contents are on the disk.
    fn sync(&self, file: &Self::File) -> io::Result<()>;
    /// Puts a file in the place of another, in one step.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Returns once the names in a folder are on the disk.
    fn sync_folder(&self, folder: &Path) -> io::Result<()>;
    /// The names in a folder.
    fn names(&self, folder: &Path) -> io::Result<Vec<PathBuf>>;
    /// Removes a file that no program holds.
    fn remove_unheld(&self, path: &Path) -> io::Result<()>;
    /// Removes a file.
    fn remove(&self, path: &Path) -> io::Result<()>;
    /// Makes a folder, where there is none yet.
    fn make_folder(&self, path: &Path) -> io::Result<()>;
    /// Removes an empty folder.
    fn remove_folder(&self, path: &Path) -> io::Result<()>;
}

/// The real one.
#[derive(Clone, Copy, Debug)]
pub struct System;

impl Disk for System {
    type File = File;

    fn standing(&self, path: &Path) -> io::Result<Option<Standing>> {
        match fs::symlink_metadata(path) {
            Ok(known) => Ok(Some(Standing {
                kind: kind(&known),
                names: names_of(&known),
                is_read_only: known.permissions().readonly(),
                known,
            })),
            Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
            Err(error) => Err(error),
        }
    }

    fn link(&self, path: &Path) -> io::Result<PathBuf> {
        fs::read_link(path)
    }

    fn may_write(&self, path: &Path) -> io::Result<()> {
        OpenOptions::new().write(true).open(path).map(drop)
    }

    fn read(&self, path: &Path, take: &mut dyn FnMut(&[u8])) -> io::Result<()> {
        let mut file = File::open(path)?;
        let mut piece = vec![0; 1 << 16];
        loop {
            match file.read(&mut piece) {
                Ok(0) => return Ok(()),
                Ok(length) => take(&piece[..length]),
                Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
                Err(error) => return Err(error),
            }
        }
    }

    #[cfg_attr(not(unix), expect(unused_variables, reason = "there are no such rights"))]
    fn create(&self, path: &Path, old: Option<&Standing>) -> io::Result<File> {
        let mut options = OpenOptions::new();
        options.write(true).create_new(true);
        #[cfg(unix)]
        {
            use std::os::unix::fs::OpenOptionsExt as _;
            options.mode(if old.is_some() { 0o600 } else { 0o666 });
        }
        options.open(path)
    }

    fn hold(&self, file: &File) -> io::Result<bool> {
        match file.try_lock() {
            Ok(()) => Ok(true),
            Err(TryLockError::WouldBlock) => Ok(false),
            Err(TryLockError::Error(error)) => Err(error),
        }
    }

    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        file.write_all(bytes)
    }

    #[cfg(unix)]
    fn give_rights(&self, file: &File, old: &Standing) -> io::Result<()> {
        use std::os::unix::fs::{MetadataExt as _, PermissionsExt as _, fchown};
        let new = file.metadata()?;
        let (user, group) = (old.known.uid(), old.known.gid());
        // The owner first: changing it may take rights away. Only some may give a file to others.
        let owned = (new.uid() == user || fchown(file, Some(user), None).is_ok())
            & (new.gid() == group || fchown(file, None, Some(group)).is_ok());
        // What the old group might do is not for another one.
        let rights = old.known.mode() & if owned { 0o777 } else { 0o707 };
        file.set_permissions(fs::Permissions::from_mode(rights))
    }

    #[cfg(not(unix))]
    fn give_rights(&self, file: &File, old: &Standing) -> io::Result<()> {
        file.set_permissions(old.known.permissions())
    }

    fn sync(&self, file: &File) -> io::Result<()> {
        file.sync_all()
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    #[cfg(unix)]
    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        match File::open(folder)?.sync_all() {
            // Some file systems have no such call; they cannot confirm more.
            Err(error)
                if matches!(error.kind(), io::ErrorKind::InvalidInput | io::ErrorKind::Unsupported) =>
            {
                Ok(())
            }
            done => done,
        }
    }

    #[cfg(not(unix))]
    fn sync_folder(&self, _folder: &Path) -> io::Result<()> {
        // A folder cannot be opened there; the system writes its names with the file.
        Ok(())
    }

    fn names(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        fs::read_dir(folder)?.map(|entry| Ok(entry?.path())).collect()
    }

    fn remove_unheld(&self, path: &Path) -> io::Result<()> {
        let file = OpenOptions::new().write(true).open(path)?;
        if self.hold(&file)? { fs::remove_file(path) } else { Ok(()) }
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        fs::remove_file(path)
    }

    fn make_folder(&self, path: &Path) -> io::Result<()> {
        match fs::create_dir(path) {
            Err(error) if error.kind() == io::ErrorKind::AlreadyExists => Ok(()),
            made => made,
        }
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        fs::remove_dir(path)
    }
}

fn kind(known: &Metadata) -> Kind {
    let kind = known.file_type();
    if kind.is_file() {
        return Kind::File;
    }
    if kind.is_symlink() {
        return Kind::Link;
    }
    if kind.is_dir() {
        return Kind::Other("folder");
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::FileTypeExt as _;
        if kind.is_fifo() {
            return Kind::Other("pipe");
        }
        if kind.is_char_device() || kind.is_block_device() {
            return Kind::Other("device");
        }
    }
    Kind::Other("thing of another kind")
}

#[cfg(unix)]
fn names_of(known: &Metadata) -> u64 {
    use std::os::unix::fs::MetadataExt as _;
    known.nlink()
}

#[cfg(not(unix))]
fn names_of(_known: &Metadata) -> u64 {
    1
}
