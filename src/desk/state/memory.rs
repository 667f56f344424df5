//! What the window remembers from one day to the next: recent files, where each was left, and the look. Kept in the
//! user's settings folder, never in a lesson.

use std::path::{Path, PathBuf};

use serde::{Deserialize, Serialize};

use super::{place::Place, playing::Playing};
use crate::{
    bowing::Density,
    desk::widgets::theme::Look,
    exchange::{data_folder, read_own, settings_folder},
};

/// Most recent files remembered.
const MOST_RECENT: usize = 8;

/// Most lessons of which it is remembered where they were left. Assumed.
const MOST_PLACES: usize = 100;
/// The folder of the lesson book in the data folder, where no other is chosen.
const BOOK: &str = "pupils";

/// Remembered choices.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Memory {
    /// Files opened and saved, the latest first.
    pub recent: Vec<PathBuf>,
    /// The look.
    pub look: Look,
    /// How many pencil marks are shown.
    pub pencil: Density,
    /// How it is played.
    pub playing: Playing,
    /// Where lessons were left, the latest first.
    places: Vec<(PathBuf, Place)>,
    /// The folder that was chosen for the lesson book.
    book: Option<PathBuf>,
    /// Where this is kept; nowhere, and nothing is remembered.
    #[serde(skip)]
    place: Option<PathBuf>,
    /// The folder where unsaved work and versions are kept; nowhere, and none is.
    #[serde(skip)]
    data: Option<PathBuf>,
}

impl Memory {
    /// What was remembered on this machine; the defaults where nothing was, or nothing legible.
    pub fn load() -> Self {
        Self::in_folders(settings_folder(), data_folder())
    }

    /// What was remembered in a folder for settings, with a folder for the user's work.
    pub fn in_folders(settings: Option<PathBuf>, data: Option<PathBuf>) -> Self {
        let place = settings.map(|folder| folder.join("desk.ron"));
        let text = place.as_deref().and_then(read_own);
        let known: Self = text.and_then(|text| ron::from_str(&text).ok()).unwrap_or_default();
        Self { place, data, ..known }
    }

    /// The folder where things are remembered; none where nothing is.
    pub fn folder(&self) -> Option<&Path> {
        self.place.as_deref().and_then(Path::parent)
    }

    /// The folder where unsaved work and versions are kept; none where none is.
    pub fn data(&self) -> Option<&Path> {
        self.data.as_deref()
    }

    /// The folder of the lesson book; none where there is no data folder and none was chosen.
    pub fn book(&self) -> Option<PathBuf> {
        self.book.clone().or_else(|| Some(self.data()?.join(BOOK)))
    }

    /// Keeps the lesson book in another folder.
    pub fn put_book(&mut self, folder: PathBuf) {
        self.book = Some(folder);
    }

    /// Where the lesson of a file was left.
    pub fn place(&self, file: &Path) -> Option<&Place> {
        let file = whole(file);
        self.places.iter().find(|(known, _)| *known == file).map(|(_, place)| place)
    }

    /// Remembers where the lesson of a file was left.
    pub fn note_place(&mut self, file: &Path, place: Place) {
        let file = whole(file);
        self.places.retain(|(known, _)| *known != file);
        self.places.insert(0, (file, place));
        self.places.truncate(MOST_PLACES);
    }

    /// Puts a file first among the recent ones.
    pub fn note(&mut self, path: &Path) {
        let path = whole(path);
        self.recent.retain(|known| *known != path);
        self.recent.insert(0, path);
        self.recent.truncate(MOST_RECENT);
    }

    /// Forgets a file that can no longer be opened.
    pub fn forget(&mut self, path: &Path) {
        self.recent.retain(|known| known != path);
    }

    /// Writes it down. Losing it does no harm, so a failure is passed over.
    pub fn save(&self) {
        let Some(place) = &self.place else { return };
        let Ok(text) = ron::to_string(self) else { return };
        if let Some(folder) = place.parent() {
            let _ = std::fs::create_dir_all(folder);
        }
        let _ = crate::exchange::saving::save_whole(place, text.as_bytes());
    }
}

fn whole(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_remembered_is_read_back_and_what_is_no_such_file_passed_over() {
        let folder = tempfile::tempdir().unwrap();
        let load = || Memory::in_folders(Some(folder.path().to_owned()), None);
        let mut memory = load();
        memory.note(Path::new("/songs/one.elbowroom"));
        let place = Place { bar: 8, told: crate::desk::state::view::Told::Words, ..Place::default() };
        memory.note_place(Path::new("/songs/one.elbowroom"), place.clone());
        memory.save();
        assert_eq!(load(), memory);
        assert_eq!(load().place(Path::new("/songs/one.elbowroom")), Some(&place));
        let place = folder.path().join("desk.ron");
        let whole = std::fs::read(&place).unwrap();
        let endless = [&whole[..], &[b' '; 5 << 20]].concat();
        for bad in [&whole[..whole.len() / 2], b"\xFF", &endless] {
            std::fs::write(&place, bad).unwrap();
            assert_eq!(load().recent, Vec::<PathBuf>::new());
        }
        #[cfg(unix)]
        {
            std::fs::remove_file(&place).unwrap();
            assert!(std::process::Command::new("mkfifo").arg(&place).status().unwrap().success());
            assert_eq!(load().recent, Vec::<PathBuf>::new());
        }
    }
}
