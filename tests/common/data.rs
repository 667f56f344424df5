//! Data that is too large for the checkout: the folder `shared/data` beside it, with string quartets
//! (CC0) and the files of a public MusicXML test suite (MIT licence).
//!
//! Where it is missing the tests that want it are left out, which is said once; where `CI` is set
//! they fail.

#![allow(dead_code, reason = "each test and bench uses its part")]

use std::{
    io::Write as _,
    path::{Path, PathBuf},
    sync::Mutex,
};

use elbowroom::{
    exchange::musicxml::{self, Imported},
    lesson::Lesson,
    setup::Family,
};

/// A file or folder of the data, or that it is missing.
pub fn shared(name: &str) -> Option<PathBuf> {
    found(
        Path::new(env!("CARGO_MANIFEST_DIR")).join("../shared/data").join(name),
        "it is not in the checkout",
    )
}

/// The path, if something is there. If not, says once what is missing and how to get it.
///
/// # Panics
/// Where `CI` is set and nothing is there: what is to check everything leaves nothing out.
pub fn found(path: PathBuf, remedy: &str) -> Option<PathBuf> {
    static SAID: Mutex<Vec<PathBuf>> = Mutex::new(Vec::new());
    if path.exists() {
        return Some(path);
    }
    let missing = format!("{} is missing; {remedy}", path.display());
    assert!(std::env::var_os("CI").is_none(), "{missing}");
    let mut said = SAID.lock().expect("nothing panics while it is locked");
    if !said.contains(&path) {
        // Past the capture of output, which hides what a passing test prints.
        let _ = writeln!(std::io::stderr(), "\nLEFT OUT, some tests: {missing}");
        said.push(path);
    }
    None
}

/// The files of a folder of the data in the order of their names; none where it is missing.
pub fn files(folder: &str) -> Vec<PathBuf> {
    let Some(folder) = shared(folder) else { return Vec::new() };
    let entries = std::fs::read_dir(folder).expect("the folder can be read");
    let mut files: Vec<PathBuf> =
        entries.map(|entry| entry.expect("the folder can be read").path()).collect();
    files.sort();
    files
}

/// Every part of the quartets, with its name for messages; none where they are missing.
pub fn real_parts() -> impl Iterator<Item = (String, Imported)> {
    files("quartets").into_iter().flat_map(|path| {
        let name = path.file_stem().expect("a file has a name").to_string_lossy().into_owned();
        let document = musicxml::open(&std::fs::read(&path).expect(&name)).expect(&name);
        let read = |part: &musicxml::PartInfo| {
            (format!("{name}, {}", part.name), document.read(part.index).expect(&name))
        };
        document.parts().iter().map(read).collect::<Vec<_>>()
    })
}

/// A part that was read, for the instrument it names.
pub fn lesson(imported: Imported) -> Lesson {
    Lesson::new(imported.score, imported.instrument.unwrap_or(Family::Violin))
}
