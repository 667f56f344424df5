//! What is written, read by an independent MusicXML reader: the Python package music21 10.5.1, by
//! `tests/reference/make_reference.py`.

use std::{
    path::{Path, PathBuf},
    process::Command,
};

use elbowroom::{
    analysis::Study,
    exchange::musicxml::{self, Besides, OtherParts, write_back, write_new},
    score::Score,
};

use crate::{
    data::{found, lesson},
    import_reference::{Aspect, compare, folder, references},
    random::Random,
    writing::{marked_up, with_other_notes},
};

/// What the two readers must agree in: these are written. Where a dynamic mark stands between two notes
/// is taken otherwise by them ([`Aspect::LevelPlace`]), and what they make of uneven bars too.
const WRITTEN: [Aspect; 5] = [Aspect::Missing, Aspect::Extra, Aspect::Slurs, Aspect::Bow, Aspect::Level];

/// How many parts are marked up, written and read: the other reader takes some seconds for each.
const PARTS: usize = 12;

pub fn python() -> Option<PathBuf> {
    let python = Path::new(env!("CARGO_MANIFEST_DIR")).join("target/reference-venv/bin/python");
    found(python, "DEVELOPERS.md says how the independent reader is made")
}

/// A part with the bowing of a teacher is written into its file, and as a file of its own, and with notes that
/// were typed into its file again; the other reader finds in all of them what the lesson has.
#[test]
fn an_independent_reader_finds_what_was_written() {
    let (Some(folder), Some(python)) = (folder(), python()) else { return };
    let mut random = Random::new(31);
    let temporary = tempfile::tempdir().expect("a temporary folder");
    let mut wanted: Vec<(String, usize, Score)> = Vec::new();
    let mut written = Vec::new();
    let mut keep = |name: String, part: usize, score: Score, bytes: &[u8]| {
        let path = temporary.path().join(&name).with_extension("musicxml");
        std::fs::write(&path, bytes).expect("a file in a temporary folder");
        written.push(path);
        wanted.push((name, part, score));
    };
    let (mut parts, mut changes, mut rewritten) = (0, 0, 0);
    // Short ones, spread over all composers; of a long one the copy that the reader takes is thinned.
    for (name, reference) in references(&folder).into_iter().step_by(5) {
        let source = std::fs::read(&reference.source).expect("a source");
        if source.len() > 60_000 || parts == PARTS {
            continue;
        }
        let imported = musicxml::open(&source).expect(&name).read(reference.part).expect(&name);
        // Where the two read the file itself otherwise, nothing is learnt from what is written into it.
        let before = compare(&reference, &imported.score);
        if WRITTEN.iter().any(|aspect| before.contains_key(aspect)) {
            continue;
        }
        let new = marked_up(&lesson(imported), &mut random, 30);
        let study = Study::new(new.clone());
        let back =
            write_back(&study, &source, reference.part, Besides::default(), OtherParts::Stay).expect(&name);
        // What the file cannot say is told; how much that is, `writing.rs` counts.
        if !back.left.is_empty() {
            continue;
        }
        changes += back.changes;
        let back = musicxml::unpack(&back.bytes).expect("music");
        keep(format!("back-{name}"), reference.part, new.score.clone(), &back);
        let typed = with_other_notes(&new, &mut random, 4);
        let back = write_back(
            &Study::new(typed.clone()),
            &source,
            reference.part,
            Besides::default(),
            OtherParts::Stay,
        );
        if let Some(back) = back.ok().filter(|back| back.left.is_empty()) {
            let back = musicxml::unpack(&back.bytes).expect("music");
            keep(format!("typed-{name}"), reference.part, typed.score, &back);
            rewritten += 1;
        }
        keep(format!("new-{name}"), 0, new.score, &write_new(&study, Besides::default()));
        parts += 1;
    }
    assert!(parts == PARTS && changes > 10 * PARTS, "{changes} changes in {parts} parts");
    assert!(4 * rewritten >= 3 * PARTS, "notes were typed into {rewritten} of {PARTS} parts");

    let read = temporary.path().join("read");
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/make_reference.py");
    let told = Command::new(python).arg(script).arg(&read).arg("--written").args(&written).output();
    let told = String::from_utf8_lossy(&told.expect("the other reader runs").stdout).into_owned();
    assert!(!told.contains("LEFT OUT"), "{told}");
    let read = references(&read);
    let mut wrong = Vec::new();
    for (name, part, score) in wanted {
        let of_it = read.iter().find(|(_, reference)| {
            reference.part == part && reference.source.file_stem().is_some_and(|stem| *stem == *name)
        });
        let (_, reference) = of_it.unwrap_or_else(|| panic!("{name} was not read:\n{told}"));
        for (aspect, places) in compare(reference, &score) {
            if WRITTEN.contains(&aspect) {
                wrong.push(format!("{name}: {aspect:?}: {}", places.join("\n    ")));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
