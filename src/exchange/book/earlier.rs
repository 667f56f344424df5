//! Players that earlier versions kept all in one file of the settings folder.

use std::{fs, path::Path};

use serde::Deserialize;

use super::{Book, BookError, Figures};
use crate::{
    exchange::limit::{OWN_LIMIT, read_file},
    setup::{Body, Bow, Player},
};

/// The file in the settings folder, and its name once all of it is in the book.
const FILE: &str = "players.ron";
const TAKEN: &str = "players-in-the-book.ron";

#[derive(Deserialize)]
#[serde(rename = "Players")]
struct File {
    players: Vec<Profile>,
}

#[derive(Deserialize)]
struct Profile {
    player: Player,
    bow: Bow,
}

/// Brings the players that an earlier version kept in a settings folder into the book, those whose name is in it
/// already aside. The old file keeps what it holds under another name, so that this is done once.
///
/// # Errors
/// When the old file cannot be read, or a player not be added; then it stays, and is tried again the next time.
pub fn take_over(settings: &Path, folder: &Path) -> Result<(), BookError> {
    let old = settings.join(FILE);
    if !old.is_file() {
        return Ok(());
    }
    let unread = |why: String| {
        BookError::Asked(format!("the players kept before cannot be read ({}): {why}", old.display()))
    };
    let bytes = read_file(&old, OWN_LIMIT).map_err(|error| unread(error.to_string()))?;
    let text = String::from_utf8(bytes).map_err(|_| unread("it is not UTF-8 text".to_owned()))?;
    let file: File = ron::from_str(&text).map_err(|error| unread(error.to_string()))?;
    for Profile { player, bow } in file.players {
        let name = player.name.clone();
        if Book::read(folder)?.named(&name).is_some() {
            continue;
        }
        let figures =
            Figures { player, bow, instrument: None, body: Body::default(), hold: None, left_handed: false };
        Book::add(folder, &name, Some(figures))?;
    }
    Ok(fs::rename(&old, settings.join(TAKEN))?)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// As version 1 of that file was written.
    const PLAYERS: &str = r#"Players(
    format_version: 1,
    players: [
        Profile(
            player: Player(name: "Tuesday, four", slowest_whole_bow_s: 14.0, fastest_whole_bow_s: 0.45,
                frog_margin_mm: 15.0, tip_margin_mm: 15.0, tip_mark_mm: None, reach_half_steps: 7, home: None),
            bow: Bow(name: "viola bow", hair_mm: 640.0, balance_mm: 190.0, mass_g: 70.0),
        ),
    ],
)"#;

    #[test]
    fn players_kept_before_come_into_the_book_once() {
        let folder = tempfile::tempdir().unwrap();
        let (settings, book) = (folder.path().join("settings"), folder.path().join("book"));
        fs::create_dir(&settings).unwrap();
        fs::write(settings.join(FILE), PLAYERS).unwrap();
        take_over(&settings, &book).unwrap();
        let kept = Book::read(&book).unwrap().pupils.remove(0);
        assert_eq!(kept.pupil.name, "Tuesday, four");
        assert_eq!(kept.pupil.figures.unwrap().bow.hair_mm, 640.0);
        assert_eq!(fs::read_to_string(settings.join(TAKEN)).unwrap(), PLAYERS);
        Book::remove(&kept.file);
        take_over(&settings, &book).unwrap();
        assert!(Book::read(&book).unwrap().pupils.is_empty(), "who was taken out does not come back");
    }

    #[test]
    fn a_damaged_file_is_told_and_left() {
        let folder = tempfile::tempdir().unwrap();
        for damaged in ["", "Players(", "\u{0}", &PLAYERS.replace("14.0", "-3.0")] {
            fs::write(folder.path().join(FILE), damaged).unwrap();
            assert!(take_over(folder.path(), &folder.path().join("book")).is_err());
            assert_eq!(fs::read_to_string(folder.path().join(FILE)).unwrap(), damaged);
        }
    }
}
