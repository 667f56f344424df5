//! Places on the bow in score files: is what is written what the plan says, valid, read by others, and written once?

use std::{path::Path, process::Command};

use elbowroom::{
    analysis::Study,
    bowing::Zone,
    exchange::musicxml::{self, Besides, OtherParts, Places, WrittenBack, write_back, write_new},
    lesson::{Lesson, demo::demo},
    score::{PLACE_SIGNS, PLACES_LEGEND, Quarters, SignKind},
    setup::Family,
};

use crate::{
    data::{files, lesson},
    writing::{against, schema},
    written_reference::python,
};

/// How many parts are tried: analysing and reading take seconds.
const PARTS: usize = 6;

fn with(places: Places) -> Besides {
    Besides { places, ..Besides::default() }
}

fn written(lesson: &Lesson, source: &[u8], places: Places) -> WrittenBack {
    write_back(&Study::new(lesson.clone()), source, 0, with(places), OtherParts::Stay).expect("it is written")
}

/// Words over the staff, with their times.
fn texts(lesson: &Lesson) -> Vec<(Quarters, String)> {
    let words = lesson.score.signs.iter().filter_map(|sign| match &sign.kind {
        SignKind::Words(text) => Some((sign.at, text.clone())),
        _ => None,
    });
    words.collect()
}

/// First parts of real scores that are not too long, with their bytes.
fn parts() -> Vec<(String, Lesson, Vec<u8>)> {
    let mut parts = Vec::new();
    for path in files("quartets") {
        let source = std::fs::read(&path).expect("a file of the data");
        let Ok(document) = musicxml::open(&source) else { continue };
        if parts.len() < PARTS && document.parts()[0].notes < 400 {
            let imported = document.read(0).expect("a part");
            let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
            parts.push((name, lesson(imported), source));
        }
    }
    parts
}

/// At the start of every stroke the sign in force is the nearest quarter of the hair; the word in force is a part of
/// the bow that the stroke stays in, unless it stays in none. Gives how many strokes were told.
fn agree(study: &Study, texts: &[(Quarters, String)], places: Places) -> usize {
    let analysis = study.analysis();
    let hair = study.lesson().setup.bow.hair_mm;
    let zones = [Zone::Frog, Zone::LowerHalf, Zone::Middle, Zone::UpperHalf, Zone::Tip];
    let mut told = 0;
    for stroke in &analysis.bowing.strokes {
        let note = analysis.note(stroke.notes.start);
        // Grace notes stand at the time of the note they lean on.
        if note.grace.is_some()
            || stroke.notes.end < analysis.bowing.notes.len()
                && analysis.note(stroke.notes.end).onset == note.onset
        {
            continue;
        }
        let from = analysis.plan.places_mm(stroke.notes.start).0 / hair;
        let to = analysis.plan.places_mm(stroke.notes.end - 1).1 / hair;
        let before = texts.iter().filter(|(at, _)| *at <= note.onset);
        if places == Places::Signs {
            let sign = before.rev().find_map(|(_, text)| PLACE_SIGNS.iter().position(|sign| sign == text));
            let off = (sign.expect("a sign stands before") as f64 / 4.0 - from).abs();
            assert!(off <= 0.1251, "{}: {off}", study.lesson().score.place(note.onset));
            told += 1;
            continue;
        }
        let stays = |zone: Zone| zone.around().contains(&from) && zone.around().contains(&to);
        let is_told = (to - from).abs() >= 0.75 || zones.into_iter().any(stays);
        let word = before.rev().find_map(|(_, text)| match text.as_str() {
            "whole bow" => Some((to - from).abs() >= 0.75),
            "middle of the bow" => Some(stays(Zone::Middle)),
            text => Some(stays(zones.into_iter().find(|zone| zone.word() == text)?)),
        });
        if is_told {
            assert_eq!(word, Some(true), "{}", study.lesson().score.place(note.onset));
            told += 1;
        }
    }
    told
}

#[test]
fn places_are_those_of_the_plan_and_leave_the_file_as_it_was_when_they_go() {
    let folder = tempfile::tempdir().expect("a temporary folder");
    let schema = schema(folder.path());
    let mut told = 0;
    for (name, lesson, source) in parts() {
        let study = Study::new(lesson.clone());
        for places in [Places::Words, Places::Signs] {
            let back = written(&lesson, &source, places);
            assert!(back.changes > 0 && back.left.is_empty(), "{name}: {:?}", back.left);
            let again = crate::data::lesson(musicxml::open(&back.bytes).unwrap().read(0).unwrap());
            told += agree(&study, &texts(&again), places);
            // Written once more it is the same, and without places it is the file it was.
            assert_eq!(written(&lesson, &back.bytes, places).bytes, back.bytes, "{name}");
            assert!(written(&lesson, &back.bytes, Places::None).bytes == source, "{name}, {places:?}");
            if let Some(schema) = &schema
                && against(schema, &musicxml::unpack(&source).unwrap()).is_none()
            {
                assert_eq!(against(schema, &musicxml::unpack(&back.bytes).unwrap()), None, "{name}");
            }
            // Whoever reads the signs from the file has the same plan, and so the same signs, each once.
            if places == Places::Signs {
                let third = written(&again, &back.bytes, places);
                assert_eq!((third.changes, third.bytes == back.bytes), (0, true), "{name}");
                let legends = texts(&again).iter().filter(|(_, text)| text == PLACES_LEGEND).count();
                assert_eq!(legends, 1, "{name}");
            }
        }
    }
    assert!(told == 0 || told > 100, "{told}");
}

/// Words are asked for when they are read (common practice, no source): what is written is understood.
#[test]
fn places_in_words_are_read_as_parts_of_the_bow() {
    let lesson = demo();
    let xml = write_new(&Study::new(lesson), with(Places::Words));
    let imported = musicxml::open(&xml).unwrap().read(0).unwrap();
    let again = Lesson::new(imported.score, Family::Viola);
    let study = Study::new(again.clone());
    let parts = study.analysis().line.notes.iter().filter(|note| note.manner.part.is_some()).count();
    assert!(
        texts(&again).len() > 1 && parts * 2 > study.analysis().line.notes.len(),
        "{parts}: {:?}",
        texts(&again)
    );
    // Replaced, not doubled.
    let second = write_new(&study, with(Places::Words));
    let twice = Lesson::new(musicxml::open(&second).unwrap().read(0).unwrap().score, Family::Viola);
    let mut times: Vec<Quarters> = texts(&twice).into_iter().map(|(at, _)| at).collect();
    let count = times.len();
    times.dedup();
    assert_eq!(times.len(), count);
}

/// The Python package music21 10.5.1 finds every text in its bar and at its time.
#[test]
fn an_independent_reader_finds_places_where_they_were_written() {
    let Some(python) = python() else { return };
    let folder = tempfile::tempdir().expect("a temporary folder");
    let (mut paths, mut wanted) = (Vec::new(), Vec::new());
    for (name, lesson, source) in parts().into_iter().take(2) {
        for places in [Places::Words, Places::Signs] {
            let music = musicxml::unpack(&written(&lesson, &source, places).bytes).expect("music");
            let path = folder.path().join(format!("{name}-{places:?}.musicxml"));
            std::fs::write(&path, music).expect("a file in a temporary folder");
            let again =
                crate::data::lesson(musicxml::open(&std::fs::read(&path).unwrap()).unwrap().read(0).unwrap());
            wanted.push((again.score.bars.clone(), texts(&again)));
            paths.push(path);
        }
    }
    if paths.is_empty() {
        return;
    }
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/read_words.py");
    let told = Command::new(python).arg(script).args(&paths).output().expect("the other reader runs");
    assert!(told.status.success(), "{}", String::from_utf8_lossy(&told.stderr));
    let told = String::from_utf8(told.stdout).expect("UTF-8");
    let is_place = |text: &str| {
        PLACE_SIGNS.contains(&text)
            || text == PLACES_LEGEND
            || ["whole bow", "frog", "tip", "middle of the bow", "lower half", "upper half"].contains(&text)
    };
    for (index, (bars, texts)) in wanted.iter().enumerate() {
        let of_file = told.lines().filter_map(|line| {
            let [file, bar, offset, text] = line.split('\t').collect::<Vec<_>>()[..] else { return None };
            (file == index.to_string() && is_place(text))
                .then(|| (bar.parse::<usize>().expect("a bar"), offset.to_owned(), text.to_owned()))
        });
        let found: Vec<(usize, f64, String)> = of_file
            .map(|(bar, offset, text)| {
                let offset = offset.split_once('/').map_or_else(
                    || offset.parse::<f64>(),
                    |(a, b)| Ok(a.parse::<f64>()? / b.parse::<f64>()?),
                );
                (bar, offset.expect("a number"), text)
            })
            .collect();
        let ours = texts.iter().filter(|(_, text)| is_place(text));
        let mut count = 0;
        for (at, text) in ours {
            let bar = bars.iter().rposition(|bar| bar.start <= *at).expect("a bar");
            let offset = (*at - bars[bar].start).to_f64();
            let near = found
                .iter()
                .any(|(b, o, t)| (*b, t.as_str()) == (bar, text.as_str()) && (o - offset).abs() < 1e-3);
            assert!(near, "{}: {text} in bar {bar} at {offset}: {found:?}", paths[index].display());
            count += 1;
        }
        assert_eq!((count, count > 5), (found.len(), true), "{}", paths[index].display());
    }
}
