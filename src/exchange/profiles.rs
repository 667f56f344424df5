//! Players a teacher keeps from lesson to lesson: a name, the player's figures and the bow.
//!
//! All are in one RON file in the user's settings folder. It is written whole or not at all, and one
//! that cannot be read is never written over: the error says so and leaves it to the user.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::{
    limit::{OWN_LIMIT, ReadError, read_file},
    saving::{SaveError, save_whole},
};
use crate::setup::{Bow, Player, Setup};

/// The version written; a newer one is refused.
const FORMAT_VERSION: u32 = 1;
/// The file's name in the settings folder.
const FILE: &str = "players.ron";

/// Why the kept players cannot be read or written.
#[derive(Debug, thiserror::Error)]
pub enum ProfilesError {
    /// Damaged, or not such a file.
    #[error(
        "the kept players cannot be read: {message} (line {line}). The file is left as it is; mend it or move it away: {}",
        path.display()
    )]
    Malformed {
        /// What the reader says.
        message: String,
        /// Line, from 1.
        line: usize,
        /// The file.
        path: PathBuf,
    },
    /// Written by a newer version of the program.
    #[error("the kept players were saved by a newer version of the program: {}", path.display())]
    Newer {
        /// The file.
        path: PathBuf,
    },
    /// A name that is empty, taken or not there.
    #[error("{0}")]
    Name(String),
    /// There is no settings folder.
    #[error("there is no settings folder on this machine to keep players in")]
    Nowhere,
    /// The disk or the folder refused.
    #[error("the kept players cannot be read or written: {0}")]
    Io(#[from] std::io::Error),
    /// The file was not saved.
    #[error("the kept players are not saved: {0}")]
    Save(#[from] SaveError),
}

/// One kept player.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Profile {
    /// The player's figures; the name is the user's own label.
    pub player: Player,
    /// The player's bow.
    pub bow: Bow,
}

#[derive(Serialize, Deserialize)]
#[serde(rename = "Players")]
struct File {
    format_version: u32,
    players: Vec<Profile>,
}

#[derive(Deserialize)]
#[serde(rename = "Players")]
struct Head {
    format_version: u32,
}

/// The kept players, by name.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Profiles {
    path: Option<PathBuf>,
    players: Vec<Profile>,
}

impl Profiles {
    /// Those kept in a folder; none where nothing was kept yet. Without a folder none can be kept.
    ///
    /// # Errors
    /// When the file is damaged, newer than this program or cannot be opened.
    pub fn load(folder: Option<&Path>) -> Result<Self, ProfilesError> {
        let Some(path) = folder.map(|folder| folder.join(FILE)) else { return Ok(Self::default()) };
        let malformed = |message: String, line, path| Err(ProfilesError::Malformed { message, line, path });
        let bytes = match read_file(&path, OWN_LIMIT) {
            Ok(bytes) => bytes,
            Err(ReadError::Io(error)) if error.kind() == std::io::ErrorKind::NotFound => {
                return Ok(Self { path: Some(path), players: Vec::new() });
            }
            Err(ReadError::Io(error)) => return Err(error.into()),
            Err(error) => return malformed(error.to_string(), 1, path),
        };
        let Ok(text) = String::from_utf8(bytes) else {
            return malformed("it is not UTF-8 text".to_owned(), 1, path);
        };
        if ron::from_str::<Head>(&text).is_ok_and(|head| head.format_version > FORMAT_VERSION) {
            return Err(ProfilesError::Newer { path });
        }
        let file: File = match ron::from_str(&text) {
            Ok(file) => file,
            Err(error) => return malformed(error.code.to_string(), error.span.start.line, path),
        };
        for profile in &file.players {
            if let Some(problem) = fault(profile) {
                return malformed(format!("{:?}: {problem}", profile.player.name), 1, path);
            }
        }
        Ok(Self { path: Some(path), players: file.players })
    }

    /// All of them, in the order of their names.
    pub fn list(&self) -> &[Profile] {
        &self.players
    }

    /// Keeps a player under its own name, in place of one of the same name.
    ///
    /// # Errors
    /// When the name is empty, the figures are out of range, or the file cannot be written; what was
    /// kept before is then untouched.
    pub fn save(&mut self, profile: Profile) -> Result<(), ProfilesError> {
        let name = profile.player.name.trim();
        if name.is_empty() {
            return Err(ProfilesError::Name("Give the player a name first".to_owned()));
        }
        if let Some(problem) = fault(&profile) {
            return Err(ProfilesError::Name(problem));
        }
        let mut players = self.players.clone();
        players.retain(|known| known.player.name.trim() != name);
        players.push(profile);
        self.write(players)
    }

    /// Forgets a player.
    ///
    /// # Errors
    /// When there is none of that name, or the file cannot be written.
    pub fn delete(&mut self, name: &str) -> Result<(), ProfilesError> {
        let at = self.place_of(name)?;
        let mut players = self.players.clone();
        players.remove(at);
        self.write(players)
    }

    /// Gives a player another name.
    ///
    /// # Errors
    /// When there is none of that name, the new name is empty or taken, or the file cannot be
    /// written.
    pub fn rename(&mut self, name: &str, new: &str) -> Result<(), ProfilesError> {
        let at = self.place_of(name)?;
        let new = new.trim();
        if new.is_empty() {
            return Err(ProfilesError::Name("Give the player a name first".to_owned()));
        }
        if new != name.trim() && self.place_of(new).is_ok() {
            return Err(ProfilesError::Name(format!("A player named {new:?} is kept already")));
        }
        let mut players = self.players.clone();
        players[at].player.name = new.to_owned();
        self.write(players)
    }

    fn place_of(&self, name: &str) -> Result<usize, ProfilesError> {
        let found = self.players.iter().position(|known| known.player.name.trim() == name.trim());
        found.ok_or_else(|| ProfilesError::Name(format!("No player named {name:?} is kept")))
    }

    /// Writes a new list, and takes it over when it is on the disk. What another window has damaged
    /// or written since is read first, so that nothing unreadable is written over.
    fn write(&mut self, mut players: Vec<Profile>) -> Result<(), ProfilesError> {
        let path = self.path.clone().ok_or(ProfilesError::Nowhere)?;
        Self::load(path.parent())?;
        players.sort_by_key(|profile| profile.player.name.to_lowercase());
        let pretty = ron::ser::PrettyConfig::default().struct_names(true).depth_limit(3);
        let file = File { format_version: FORMAT_VERSION, players };
        let text = ron::ser::to_string_pretty(&file, pretty)
            .map_err(|error| ProfilesError::Name(error.to_string()))?;
        if let Some(folder) = path.parent() {
            std::fs::create_dir_all(folder)?;
        }
        save_whole(&path, (text + "\n").as_bytes())?;
        self.players = file.players;
        Ok(())
    }
}

/// What is wrong with the figures of a player and bow, by the ranges of the set-up.
fn fault(profile: &Profile) -> Option<String> {
    let usual = Setup::for_family(crate::setup::Family::Violin);
    let setup = Setup { player: profile.player.clone(), bow: profile.bow.clone(), ..usual };
    setup.problems().into_iter().next()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn profile(name: &str) -> Profile {
        let Setup { player, bow, .. } = Setup::for_family(crate::setup::Family::Viola);
        Profile { player: Player { name: name.to_owned(), home: Some((0.5, 1.0)), ..player }, bow }
    }

    #[test]
    fn players_are_kept_renamed_and_forgotten() {
        let folder = tempfile::tempdir().unwrap();
        let mut kept = Profiles::load(Some(folder.path())).unwrap();
        assert!(kept.list().is_empty());
        for name in ["Tuesday, four", "Ada", "Ada"] {
            kept.save(profile(name)).unwrap();
        }
        assert_eq!(Profiles::load(Some(folder.path())).unwrap(), kept);
        let names = |kept: &Profiles| -> Vec<String> {
            kept.list().iter().map(|profile| profile.player.name.clone()).collect()
        };
        assert_eq!(names(&kept), ["Ada", "Tuesday, four"]);
        kept.rename("Ada", "Zoe").unwrap();
        assert!(kept.rename("Zoe", "Tuesday, four").is_err());
        assert!(kept.rename("Ada", "Bo").is_err() && kept.save(profile("  ")).is_err());
        kept.delete("Tuesday, four").unwrap();
        assert_eq!(names(&Profiles::load(Some(folder.path())).unwrap()), ["Zoe"]);
    }

    #[test]
    fn a_damaged_file_is_told_and_never_written_over() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(FILE);
        let mut kept = Profiles::load(Some(folder.path())).unwrap();
        kept.save(profile("Ada")).unwrap();
        let whole = std::fs::read_to_string(&path).unwrap();
        let newer = whole.replace("format_version: 1", "format_version: 2");
        let mute = whole.replace("slowest_whole_bow_s: 20.0", "slowest_whole_bow_s: -1.0");
        for damaged in [&whole[..whole.len() / 2], "", "\u{0}", newer.as_str(), mute.as_str()] {
            std::fs::write(&path, damaged).unwrap();
            let error = Profiles::load(Some(folder.path())).unwrap_err();
            assert!(error.to_string().contains(FILE), "{error}");
            assert!(kept.save(profile("Bo")).is_err() && kept.delete("Ada").is_err());
            assert_eq!(std::fs::read_to_string(&path).unwrap(), damaged);
        }
    }

    #[test]
    fn what_may_have_no_end_is_not_waited_for() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(FILE);
        std::fs::create_dir(&path).unwrap();
        assert!(matches!(Profiles::load(Some(folder.path())), Err(ProfilesError::Malformed { .. })));
        #[cfg(unix)]
        {
            std::fs::remove_dir(&path).unwrap();
            assert!(std::process::Command::new("mkfifo").arg(&path).status().unwrap().success());
            assert!(matches!(Profiles::load(Some(folder.path())), Err(ProfilesError::Malformed { .. })));
            std::fs::remove_file(&path).unwrap();
            std::os::unix::fs::symlink("/dev/zero", &path).unwrap();
            assert!(matches!(Profiles::load(Some(folder.path())), Err(ProfilesError::Malformed { .. })));
        }
    }

    #[test]
    fn without_a_folder_nothing_is_kept() {
        let mut kept = Profiles::load(None).unwrap();
        assert!(matches!(kept.save(profile("Ada")), Err(ProfilesError::Nowhere)));
    }
}
