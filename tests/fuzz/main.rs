//! Mutated files of every kind: whatever comes out, it comes out soon and in words.
//!
//! A few seconds of it are among the tests. For hours of it, and for one case again:
//!
//! ```sh
//! ELBOWROOM_FUZZ_SECONDS=7200 ELBOWROOM_FUZZ_SEED=7 cargo test --test fuzz -- --nocapture
//! ```
//!
//! The seed gives the first case; each case after it has the next number. What panics or takes too
//! long is kept under its number in the folder that the message names. Make it small, give it a name
//! in `tests/data/bad/`, and a line in `tests/reading/bad_files.rs`.

#[path = "../common/data.rs"]
mod data;
mod mutation;
#[path = "../common/random.rs"]
mod random;

use std::{
    path::{Path, PathBuf},
    sync::mpsc,
    time::{Duration, Instant},
};

use elbowroom::{
    analysis::Study,
    bowing::Density,
    exchange::{
        Opened,
        book::{Book, Figures},
        lesson_file, open,
    },
    lesson::{Lesson, demo::demo},
    picture::{Paper, Theme, sheet, svg},
    setup::Family,
};

use mutation::mutated;
use random::Random;

/// Time among the tests.
const SECONDS: u64 = 5;
/// Longest time for one case, assumed: a build for debugging on a busy machine. What hangs takes
/// minutes.
const LONGEST: Duration = Duration::from_secs(60);
/// Largest file that is mutated, and largest that comes of it, bytes. Assumed: many small cases find
/// more than few large ones.
const LARGEST: usize = 200_000;
/// Share of the cases that are analysed and drawn too, where they can be read. Assumed.
const DRAWN: f64 = 0.2;

/// A file to mutate.
#[derive(Clone, Copy, PartialEq)]
enum Kind {
    /// MusicXML, compressed or not, or a lesson.
    Music,
    /// The file of a pupil.
    Pupil,
}

/// Real files of all kinds in the order of their names, so that a number is the same case wherever the
/// same files are.
fn files() -> Vec<(Kind, Vec<u8>)> {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/data");
    let mut paths: Vec<PathBuf> = ["", "bad", "lessons"]
        .iter()
        .flat_map(|folder| std::fs::read_dir(own.join(folder)).expect("the data of the tests"))
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.is_file())
        .collect();
    paths.sort();
    for folder in ["quartets", "suite"] {
        if data::shared(folder).is_some() {
            paths.extend(data::files(folder));
        }
    }
    let mut files: Vec<(Kind, Vec<u8>)> = paths
        .iter()
        .filter_map(|path| std::fs::read(path).ok())
        .filter(|bytes| bytes.len() <= LARGEST)
        .map(|bytes| (Kind::Music, bytes))
        .collect();
    files.push((Kind::Music, lesson_file::write(&demo()).expect("any lesson").into_bytes()));
    files.push((Kind::Pupil, pupil()));
    files
}

/// The file of a pupil in the lesson book.
fn pupil() -> Vec<u8> {
    let folder = tempfile::tempdir().expect("a folder");
    let setup = demo().setup;
    let file = Book::add(folder.path(), "Ada", Some(Figures::of(&setup))).expect("an empty folder");
    let day = elbowroom::exchange::book::Day {
        date: "2026-11-28".parse().expect("a day"),
        tempo: Some(72),
        marked: Some(96),
        note: "in one bow".to_owned(),
    };
    let lesson = folder.path().join("song.elbowroom");
    Book::change(&file, |pupil| pupil.write_down(folder.path(), "Song", &lesson, day)).expect("written");
    std::fs::read(file).expect("just saved")
}

/// Reads a file as the program would; with `draws` what it holds is analysed and drawn too.
fn read(kind: Kind, bytes: &[u8], draws: bool) {
    match kind {
        Kind::Music => match open(bytes) {
            Ok(Opened::Lesson(lesson, _)) => show(*lesson, draws),
            Ok(Opened::Score(document)) => {
                for part in 0..document.parts().len().min(4) {
                    if let Ok(part) = document.read(part) {
                        part.diagnostics
                            .iter()
                            .for_each(|remark| assert!(!remark.to_string().contains('\n')));
                        show(Lesson::new(part.score, part.instrument.unwrap_or(Family::Viola)), draws);
                    }
                }
            }
            Err(error) => assert!(!error.to_string().is_empty()),
        },
        Kind::Pupil => {
            let folder = tempfile::tempdir().expect("a folder");
            std::fs::write(folder.path().join("a.pupil"), bytes).expect("a file");
            let book = Book::read(folder.path()).expect("a folder");
            assert_eq!(book.pupils.len() + book.unread.len(), 1);
            if let Some(kept) = book.pupils.first() {
                Book::change(&kept.file, |_| {}).expect("what was read is written");
                let again = Book::read(folder.path()).expect("a folder");
                assert_eq!(again, book, "what is saved is read back");
            }
        }
    }
}

/// What was read can be saved and read again, analysed and drawn.
fn show(lesson: Lesson, draws: bool) {
    let text = lesson_file::write(&lesson).expect("any lesson can be written");
    assert_eq!(lesson_file::read(&text).as_ref().ok(), Some(&lesson), "what is saved is read back");
    if draws {
        let study = Study::new(lesson);
        let pages = sheet(&study, None, Paper::A4_LANDSCAPE, Density::Worth);
        pages.take(2).for_each(|page| assert!(svg::write(&page, &Theme::PRINT).ends_with("</svg>\n")));
    }
}

fn number(name: &str, usual: u64) -> u64 {
    let Ok(text) = std::env::var(name) else { return usual };
    text.parse().unwrap_or_else(|_| panic!("{name} is no whole number: {text:?}"))
}

/// One case by its number, the same on every run.
fn case(files: &[(Kind, Vec<u8>)], number: u64) -> (Kind, Vec<u8>, bool) {
    let mut random = Random::new(number);
    let (kind, bytes) = &files[random.below(files.len())];
    let (_, other) = &files[random.below(files.len())];
    let draws = random.chance(DRAWN);
    (*kind, mutated(bytes, other, LARGEST, &mut random), draws)
}

#[test]
fn mutated_files_neither_panic_nor_hang() {
    let (seconds, seed) = (number("ELBOWROOM_FUZZ_SECONDS", SECONDS), number("ELBOWROOM_FUZZ_SEED", 1));
    let files = files();
    let (send, cases) = mpsc::channel::<(u64, Kind, Vec<u8>, bool)>();
    let (done, results) = mpsc::channel();
    // A case that hangs cannot be stopped; the test ends without it.
    std::thread::spawn(move || {
        for (number, kind, bytes, draws) in cases {
            let fine = std::panic::catch_unwind(|| read(kind, &bytes, draws)).is_ok();
            if done.send((number, fine)).is_err() {
                return;
            }
        }
    });
    let start = Instant::now();
    let mut bad = Vec::new();
    let mut number = seed;
    while start.elapsed() < Duration::from_secs(seconds) {
        let (kind, bytes, draws) = case(&files, number);
        send.send((number, kind, bytes.clone(), draws)).expect("the thread runs");
        let result = results.recv_timeout(LONGEST);
        if !matches!(result, Ok((_, true))) {
            let folder = Path::new(env!("CARGO_TARGET_TMPDIR")).join("fuzz");
            std::fs::create_dir_all(&folder).expect("a folder for what was found");
            let path = folder.join(format!("{number}"));
            std::fs::write(&path, &bytes).expect("what was found is kept");
            bad.push(path);
            assert!(result.is_ok(), "a case takes more than {LONGEST:?}; the cases found are in {bad:?}");
        }
        number += 1;
    }
    println!("{} cases from number {seed}", number - seed);
    assert!(bad.is_empty(), "these panic: {bad:?}");
}
