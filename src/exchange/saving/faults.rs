//! Saving on a disk on which calls fail, and on which the power goes.

use std::{
    cell::{Cell, RefCell},
    io,
    path::{Path, PathBuf},
};

use super::{
    Over, SaveError, Seen,
    disk::{Disk, Standing, System},
    save, save_on, save_pieces, save_whole,
};

/// What goes wrong.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Fault {
    /// One call fails.
    Fails,
    /// Nothing is done any more from this call on.
    PowerGoes,
    /// The call is done, a write by half, and nothing any more from then on.
    PowerGoesAfter,
}

/// A real folder behind calls that go wrong at the one with a given number.
struct Faulty {
    at: usize,
    fault: Option<Fault>,
    calls: RefCell<Vec<&'static str>>,
    is_dead: Cell<bool>,
}

impl Faulty {
    fn new(at: usize, fault: Option<Fault>) -> Self {
        Self { at, fault, calls: RefCell::default(), is_dead: Cell::new(false) }
    }

    fn call<T>(&self, name: &'static str, call: impl FnOnce() -> io::Result<T>) -> io::Result<T> {
        let number = self.calls.borrow().len();
        self.calls.borrow_mut().push(name);
        let failure = || Err(io::Error::other(format!("{name} fails")));
        if self.is_dead.get() {
            return failure();
        }
        match self.fault.filter(|_| number == self.at) {
            None => call(),
            Some(Fault::Fails) => failure(),
            Some(Fault::PowerGoes) => {
                self.is_dead.set(true);
                failure()
            }
            Some(Fault::PowerGoesAfter) => {
                self.is_dead.set(true);
                call().and_then(|_| failure())
            }
        }
    }
}

impl Disk for Faulty {
    type File = std::fs::File;

    fn standing(&self, path: &Path) -> io::Result<Option<Standing>> {
        self.call("standing", || System.standing(path))
    }

    fn link(&self, path: &Path) -> io::Result<PathBuf> {
        self.call("link", || System.link(path))
    }

    fn may_write(&self, path: &Path) -> io::Result<()> {
        self.call("may_write", || System.may_write(path))
    }

    fn read(&self, path: &Path, take: &mut dyn FnMut(&[u8])) -> io::Result<()> {
        self.call("read", || System.read(path, take))
    }

    fn create(&self, path: &Path, old: Option<&Standing>) -> io::Result<Self::File> {
        self.call("create", || System.create(path, old))
    }

    fn hold(&self, file: &Self::File) -> io::Result<bool> {
        self.call("hold", || System.hold(file))
    }

    fn write(&self, file: &mut Self::File, bytes: &[u8]) -> io::Result<()> {
        let half = self.fault == Some(Fault::PowerGoesAfter) && self.calls.borrow().len() == self.at;
        let bytes = if half { &bytes[..bytes.len() / 2] } else { bytes };
        self.call("write", || System.write(file, bytes))
    }

    fn give_rights(&self, file: &Self::File, old: &Standing) -> io::Result<()> {
        self.call("give_rights", || System.give_rights(file, old))
    }

    fn sync(&self, file: &Self::File) -> io::Result<()> {
        self.call("sync", || System.sync(file))
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.call("rename", || System.rename(from, to))
    }

    fn sync_folder(&self, folder: &Path) -> io::Result<()> {
        self.call("sync_folder", || System.sync_folder(folder))
    }

    fn names(&self, folder: &Path) -> io::Result<Vec<PathBuf>> {
        self.call("names", || System.names(folder))
    }

    fn remove_unheld(&self, path: &Path) -> io::Result<()> {
        self.call("remove_unheld", || System.remove_unheld(path))
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.call("remove", || System.remove(path))
    }

    fn make_folder(&self, path: &Path) -> io::Result<()> {
        self.call("make_folder", || System.make_folder(path))
    }

    fn remove_folder(&self, path: &Path) -> io::Result<()> {
        self.call("remove_folder", || System.remove_folder(path))
    }
}

const OLD: &str = "the old contents";
const NEW: &str = "the new contents, which are longer";

/// The new contents, as a long file is made.
fn two_pieces(write: &mut dyn FnMut(&[u8]) -> io::Result<()>) -> io::Result<()> {
    let (one, other) = NEW.split_at(7);
    write(one.as_bytes())?;
    write(other.as_bytes())
}

/// A folder with a file, or a link to one, and something left lying.
fn folder(is_link: bool) -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    std::fs::create_dir(folder.path().join("elsewhere")).unwrap();
    let real = folder.path().join(if is_link { "elsewhere/real" } else { "file" });
    std::fs::write(&real, OLD).unwrap();
    let path = folder.path().join("file");
    #[cfg(unix)]
    if is_link {
        std::os::unix::fs::symlink("elsewhere/real", &path).unwrap();
    }
    std::fs::write(real.with_file_name(".elbowroom-0123456789abcdef.part"), "left").unwrap();
    (folder, path)
}

fn parts(folder: &Path) -> usize {
    let names = |folder: &Path| -> Vec<PathBuf> {
        std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path()).collect()
    };
    let all = names(folder).into_iter().chain(names(&folder.join("elsewhere")));
    all.filter(|path| path.extension().is_some_and(|ending| ending == "part")).count()
}

/// The calls of a save in which nothing goes wrong.
fn calls(is_link: bool) -> Vec<&'static str> {
    let (folder, path) = folder(is_link);
    let disk = Faulty::new(0, None);
    save_on(&disk, &path, &mut two_pieces, Over::Seen(Seen::of(OLD.as_bytes()))).unwrap();
    assert_eq!(std::fs::read_to_string(path).unwrap(), NEW);
    assert_eq!(parts(folder.path()), 0, "nothing is left lying");
    disk.calls.into_inner()
}

/// What the disk is told to keep before the name changes, and after (fsync(2): that the contents are
/// on the disk does not mean that the name is).
#[test]
fn contents_are_on_the_disk_before_the_name_and_the_name_before_the_end() {
    let calls = calls(false);
    let at = |name| calls.iter().position(|call| *call == name).unwrap();
    assert!(at("write") < at("sync") && at("give_rights") < at("sync"));
    assert!(at("sync") < at("read") && at("read") + 1 == at("rename"));
    assert_eq!(calls[at("rename") + 1..], ["sync_folder"]);
}

#[test]
fn whatever_fails_the_file_is_the_old_one_or_the_new_one() {
    for is_link in [false, cfg!(unix)] {
        for fault in [Fault::Fails, Fault::PowerGoes, Fault::PowerGoesAfter] {
            for (at, name) in calls(is_link).into_iter().enumerate() {
                let (folder, path) = folder(is_link);
                let disk = Faulty::new(at, Some(fault));
                let saved = save_on(&disk, &path, &mut two_pieces, Over::Seen(Seen::of(OLD.as_bytes())));
                let held = std::fs::read_to_string(&path).unwrap();
                let context = format!("{fault:?} at {at}, {name}, link {is_link}: {saved:?}");
                match &saved {
                    Ok(()) | Err(SaveError::Unconfirmed(_)) => assert_eq!(held, NEW, "{context}"),
                    // The new one may be in its place when the power goes just after.
                    Err(_) if fault == Fault::PowerGoesAfter && name == "rename" => {
                        assert_eq!(held, NEW, "{context}");
                    }
                    Err(_) => assert_eq!(held, OLD, "{context}"),
                }
                // One call that fails leaves nothing of this save behind.
                assert!(fault != Fault::Fails || parts(folder.path()) <= 1, "{context}");
                // The next save works and clears away what was left lying.
                save_whole(&path, b"the next one").unwrap();
                assert_eq!(std::fs::read_to_string(&path).unwrap(), "the next one", "{context}");
                assert_eq!(parts(folder.path()), 0, "{context}");
                assert_eq!(path.is_symlink(), is_link, "{context}");
            }
        }
    }
}

#[test]
fn a_file_that_is_broken_off_is_the_old_one() {
    let (folder, path) = folder(false);
    let saved = save_pieces(&path, Over::Anything, &mut |write| {
        write(b"the first piece")?;
        Err(io::ErrorKind::Interrupted.into())
    });
    assert!(matches!(saved, Err(SaveError::Io(error)) if error.kind() == io::ErrorKind::Interrupted));
    assert!(matches!(io::Error::from(io::ErrorKind::StorageFull).into(), SaveError::Full));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), OLD);
    assert_eq!(parts(folder.path()), 0);
}

#[test]
fn what_another_program_is_writing_is_not_cleared_away() {
    let (folder, path) = folder(false);
    let other = folder.path().join(".elbowroom-00000000000000aa.part");
    let file = System.create(&other, None).unwrap();
    assert!(System.hold(&file).unwrap());
    save_whole(&path, b"new").unwrap();
    assert!(other.exists());
    assert_eq!(parts(folder.path()), 1);
    drop(file);
    save_whole(&path, b"new").unwrap();
    assert_eq!(parts(folder.path()), 0);
}

#[test]
fn another_file_than_the_one_seen_is_not_replaced() {
    let (_folder, path) = folder(false);
    let seen = Seen::of(OLD.as_bytes());
    std::fs::write(&path, "theirs").unwrap();
    assert!(matches!(save(&path, b"mine", Over::Seen(seen)), Err(SaveError::Changed)));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "theirs");
    save(&path, b"mine", Over::Seen(Seen::of(b"theirs"))).unwrap();
    std::fs::remove_file(&path).unwrap();
    save(&path, b"again", Over::Seen(seen)).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "again");
}

#[test]
fn a_new_file_replaces_none() {
    let (folder, path) = folder(false);
    assert!(matches!(save(&path, b"new", Over::Nothing), Err(SaveError::Exists)));
    assert_eq!(std::fs::read_to_string(&path).unwrap(), OLD);
    std::fs::remove_file(&path).unwrap();
    let disk = Faulty::new(0, None);
    save_on(&disk, &folder.path().join("other"), &mut two_pieces, Over::Nothing).unwrap();
    let calls = disk.calls.into_inner();
    let at = |name| calls.iter().rposition(|call| *call == name).unwrap();
    assert_eq!(at("standing") + 1, at("rename"), "looked at as late as can be");
    save(&path, b"new", Over::Nothing).unwrap();
    assert_eq!(std::fs::read_to_string(&path).unwrap(), "new");
}

#[cfg(unix)]
mod unix {
    use std::os::unix::fs::{MetadataExt as _, PermissionsExt, symlink};

    use super::*;

    fn mode(path: &Path) -> u32 {
        std::fs::metadata(path).unwrap().permissions().mode() & 0o7777
    }

    #[test]
    fn rights_are_kept_and_a_new_file_has_those_of_the_mask() {
        let (folder, path) = folder(false);
        for rights in [0o600, 0o640, 0o664, 0o700] {
            std::fs::set_permissions(&path, PermissionsExt::from_mode(rights)).unwrap();
            save_whole(&path, b"new").unwrap();
            assert_eq!(mode(&path), rights, "{rights:o}");
        }
        // What the system itself makes of the mask is the measure.
        let plain = folder.path().join("plain");
        std::fs::write(&plain, "").unwrap();
        let new = folder.path().join("new");
        save_whole(&new, b"new").unwrap();
        assert_eq!(mode(&new), mode(&plain));
        assert_eq!(std::fs::metadata(&new).unwrap().uid(), std::fs::metadata(&plain).unwrap().uid());
    }

    #[test]
    fn what_cannot_be_replaced_without_harm_is_told() {
        let (folder, path) = folder(false);
        let told = |path: &Path| {
            let error = save_whole(path, b"new").unwrap_err();
            assert_eq!(parts(folder.path()), 1, "nothing was begun");
            error.to_string()
        };
        std::fs::set_permissions(&path, PermissionsExt::from_mode(0o444)).unwrap();
        assert!(told(&path).contains("read-only"));
        std::fs::set_permissions(&path, PermissionsExt::from_mode(0o644)).unwrap();
        std::fs::hard_link(&path, folder.path().join("second")).unwrap();
        assert!(told(&path).contains("2 names"));
        assert_eq!(std::fs::read_to_string(&path).unwrap(), OLD);
        let pipe = folder.path().join("pipe");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        assert!(told(&pipe).contains("a pipe"));
        assert!(told(Path::new("/dev/null")).contains("a device"));
        assert!(told(&folder.path().join("elsewhere")).contains("a folder"));
        symlink("round", folder.path().join("round")).unwrap();
        assert!(told(&folder.path().join("round")).contains("links"));
    }

    #[test]
    fn a_link_to_nothing_yet_is_followed_too() {
        let (folder, _path) = folder(false);
        let link = folder.path().join("link");
        symlink(folder.path().join("elsewhere/new"), &link).unwrap();
        save_whole(&link, b"new").unwrap();
        assert!(link.is_symlink());
        assert_eq!(std::fs::read(folder.path().join("elsewhere/new")).unwrap(), b"new");
    }
}
