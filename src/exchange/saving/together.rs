//! Files that belong together.

use std::{
    ffi::{OsStr, OsString},
    io,
    path::{Path, PathBuf},
};

use super::{
    Over, PART, SaveError, check,
    disk::{Disk as _, System},
    folder_of, follow, save, take_back,
};

/// Files that are made in a folder of their own beside their places, and come there when all of them are made: until
/// then what is there stays. What is given up leaves nothing.
#[derive(Debug)]
pub struct Together {
    folder: PathBuf,
    to: PathBuf,
    names: Vec<OsString>,
}

impl Together {
    /// Begins beside a file; what a program that was stopped left lying there goes.
    ///
    /// # Errors
    /// When there is no folder for it, or none can be made in that.
    pub fn beside(path: &Path) -> Result<Self, SaveError> {
        let to = folder_of(path).to_owned();
        let mut name = OsString::from(PART.0);
        name.push(path.file_name().unwrap_or_default());
        name.push(PART.1);
        name.push("s");
        let folder = to.join(name);
        System.make_folder(&folder).map_err(|error| match error.kind() {
            io::ErrorKind::NotFound => SaveError::NoFolder(to.clone()),
            _ => error.into(),
        })?;
        take_back(&System.names(&folder)?);
        Ok(Self { folder, to, names: Vec::new() })
    }

    /// Makes one of them, for the place beside the others that its name says.
    ///
    /// # Errors
    /// Says why it was not.
    pub fn save(&mut self, name: &OsStr, bytes: &[u8]) -> Result<(), SaveError> {
        save(&self.folder.join(name), bytes, Over::Anything)?;
        self.names.push(name.to_owned());
        Ok(())
    }

    /// Puts them in their places, in the order in which they were made, and others out of the way before. Where one
    /// of them cannot be put there, all stays as it is.
    ///
    /// # Errors
    /// Says why they were not; [`SaveError::Exists`] where there is one already and nothing may be lost.
    pub fn put(self, over: Over, instead_of: &[PathBuf]) -> Result<(), SaveError> {
        let place = |name: &OsString| -> Result<(PathBuf, PathBuf), SaveError> {
            let (path, old) = follow(&System, &self.to.join(name))?;
            if let Some(old) = &old {
                if over == Over::Nothing {
                    return Err(SaveError::Exists);
                }
                check(&System, &path, old)?;
            }
            Ok((self.folder.join(name), path))
        };
        let places: Vec<(PathBuf, PathBuf)> = self.names.iter().map(place).collect::<Result<_, _>>()?;
        take_back(instead_of);
        for (from, to) in &places {
            System.rename(from, to)?;
        }
        System.sync_folder(&self.to).map_err(SaveError::Unconfirmed)
    }
}

impl Drop for Together {
    fn drop(&mut self) {
        take_back(&System.names(&self.folder).unwrap_or_default());
        // What could not be removed goes when the next ones of that name are made.
        let _ = System.remove_folder(&self.folder);
    }
}
