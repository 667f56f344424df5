//! The last saved versions of a lesson, kept in the user's data folder: the latest [`LATEST`], and of
//! those before them the last of each day for [`DAYS`] days.
//!
//! A version is a lesson file like any other. Where it lies follows from where the lesson is saved; a
//! lesson moved to another folder begins anew.

use std::{
    fs, io,
    path::{Path, PathBuf},
    time::{Duration, SystemTime},
};

use super::{
    lesson_file::{self, ENDING, LessonFileError},
    saving::{Over, SaveError, Seen, save, save_whole},
    unsaved::{create_private, known_as},
};
use crate::lesson::Lesson;

/// Versions kept whatever their age.
pub const LATEST: usize = 10;
/// Days for which the last version of each day is kept besides.
pub const DAYS: u64 = 31;

/// The folder of all versions in the data folder.
const FOLDER: &str = "versions";
/// s; days are counted from midnight UTC, assumed near enough to a person's day.
const DAY_S: u64 = 24 * 3600;

/// A lesson that was saved.
#[derive(Debug)]
pub struct Saved {
    /// What its file holds now.
    pub seen: Seen,
    /// The disk confirms that it will last, and the versions are kept; or what is the matter.
    pub doubt: Option<SaveError>,
}

/// Saves a lesson at `file`. What was there, and what is there now, is kept among the versions where
/// there is a data folder; what was there first, so that it is not gone whenever the power goes.
///
/// # Errors
/// When it is not saved; what was there is then untouched.
pub fn save_lesson(
    data: Option<&Path>,
    file: &Path,
    lesson: &Lesson,
    over: Over,
) -> Result<Saved, LessonFileError> {
    let text = lesson_file::write(lesson)?;
    let keep = |bytes: &[u8], at| data.map_or(Ok(()), |data| keep(data, file, bytes, at));
    let kept_old = match lesson_file::present(file) {
        Some((old, at)) if over != Over::Nothing => keep(&old, at),
        _ => Ok(()),
    };
    let confirmed = match save(file, text.as_bytes(), over) {
        Err(error @ SaveError::Unconfirmed(_)) => Err(error),
        saved => Ok(saved?),
    };
    let kept = keep(text.as_bytes(), SystemTime::now());
    Ok(Saved { seen: Seen::of(text.as_bytes()), doubt: confirmed.and(kept_old).and(kept).err() })
}

/// A saved version of a lesson.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Version {
    /// Where it lies.
    pub path: PathBuf,
    /// When it was saved.
    pub at: SystemTime,
}

/// Keeps what the lesson file at `file` holds, saved at `at`. The same contents are kept once, under the
/// time they were saved last.
///
/// # Errors
/// When the data folder cannot be written.
pub fn keep(data: &Path, file: &Path, bytes: &[u8], at: SystemTime) -> Result<(), SaveError> {
    let folder = folder_of(data, file);
    create_private(&folder)?;
    let hash = format!("{:016x}", Seen::of(bytes).hash());
    let known = list(data, file);
    if known.iter().any(|version| version.at >= at && is_of(version, &hash)) {
        return Ok(());
    }
    // To the millisecond: two saves within one do not happen.
    let name = format!("{:015}-{hash}.{ENDING}", since_epoch(at).as_millis());
    save_whole(&folder.join(name), bytes)?;
    for version in known.into_iter().filter(|version| is_of(version, &hash)) {
        fs::remove_file(version.path)?;
    }
    for version in superfluous(list(data, file), at) {
        fs::remove_file(version.path)?;
    }
    Ok(())
}

/// The versions kept of the lesson file at `file`, the latest first.
pub fn list(data: &Path, file: &Path) -> Vec<Version> {
    let entries = fs::read_dir(folder_of(data, file)).into_iter().flatten();
    let version = |entry: io::Result<fs::DirEntry>| {
        let path = entry.ok()?.path();
        let millis: u64 = path.file_stem()?.to_str()?.split_once('-')?.0.parse().ok()?;
        let at = SystemTime::UNIX_EPOCH.checked_add(Duration::from_millis(millis))?;
        path.extension().is_some_and(|ending| ending == ENDING).then_some(Version { path, at })
    };
    let mut versions: Vec<Version> = entries.filter_map(version).collect();
    versions.sort_by_key(|version| std::cmp::Reverse(version.at));
    versions
}

/// Those, of the latest first, that need not be kept any more at `now`.
fn superfluous(versions: Vec<Version>, now: SystemTime) -> Vec<Version> {
    let day = |at: SystemTime| since_epoch(at).as_secs() / DAY_S;
    let oldest = day(now).saturating_sub(DAYS);
    let mut last_day = None;
    let goes = |(place, version): (usize, Version)| {
        let day = day(version.at);
        let is_last_of_day = last_day != Some(day);
        last_day = Some(day);
        let stays = place < LATEST || (is_last_of_day && day >= oldest);
        (!stays).then_some(version)
    };
    versions.into_iter().enumerate().filter_map(goes).collect()
}

fn since_epoch(at: SystemTime) -> Duration {
    at.duration_since(SystemTime::UNIX_EPOCH).unwrap_or_default()
}

fn is_of(version: &Version, hash: &str) -> bool {
    version.path.file_stem().is_some_and(|stem| stem.to_string_lossy().ends_with(hash))
}

/// The folder of the versions of one lesson: its name for people, a hash of where it lies for the program.
fn folder_of(data: &Path, file: &Path) -> PathBuf {
    let file = known_as(file);
    let name: String = file.file_stem().unwrap_or_default().to_string_lossy().chars().take(40).collect();
    let hash = Seen::of(file.as_os_str().as_encoded_bytes()).hash();
    data.join(FOLDER).join(format!("{name}-{hash:016x}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn at(day: u64, second: u64) -> SystemTime {
        SystemTime::UNIX_EPOCH + Duration::from_secs((20_000 + day) * DAY_S + second)
    }

    #[test]
    fn the_latest_stay_and_before_them_the_last_of_each_day_of_a_month() {
        let saved =
            |day, second| Version { path: PathBuf::from(format!("{day} {second}")), at: at(day, second) };
        // The latest first, as listed; each save thins what is there.
        let mut kept: Vec<Version> = Vec::new();
        for (day, second) in (0..60).flat_map(|day| (0..20).map(move |second| (day, second))) {
            kept.insert(0, saved(day, second));
            let gone = superfluous(kept.clone(), at(day, second));
            kept.retain(|version| !gone.contains(version));
        }
        let latest = (0..LATEST as u64).map(|place| saved(59, 19 - place));
        let days = (59 - DAYS..59).rev().map(|day| saved(day, 19));
        assert_eq!(kept, latest.chain(days).collect::<Vec<_>>());
    }

    #[test]
    fn what_need_not_be_kept_goes_at_the_next_save() {
        let data = tempfile::tempdir().unwrap();
        let file = data.path().join("song.elbowroom");
        for second in 0..12 {
            keep(data.path(), &file, format!("{second}").as_bytes(), at(0, second)).unwrap();
        }
        let kept = list(data.path(), &file);
        assert_eq!(kept.len(), LATEST);
        assert_eq!(fs::read_to_string(&kept[0].path).unwrap(), "11");
    }

    #[test]
    fn the_same_contents_are_kept_once() {
        let data = tempfile::tempdir().unwrap();
        let (file, other) = (data.path().join("song.elbowroom"), data.path().join("other.elbowroom"));
        for (second, text) in [(1, "a"), (2, "b"), (3, "a"), (2, "a")] {
            keep(data.path(), &file, text.as_bytes(), at(0, second)).unwrap();
        }
        let times: Vec<SystemTime> = list(data.path(), &file).iter().map(|version| version.at).collect();
        assert_eq!(times, [at(0, 3), at(0, 2)]);
        assert!(list(data.path(), &other).is_empty());
    }
}
