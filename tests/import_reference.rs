//! The MusicXML reader against an independent one: the Python package music21 10.5.1.
//!
//! `tests/reference/make_reference.py` writes what that reader finds in real string quartets as
//! JSON; this test reads the same files and compares every note: onset, duration, sounding pitch,
//! bar, grace or not, slur ends, bow mark, dynamic mark in force, seconds. Where the two differ the
//! XML has been read by hand; the accepted differences stand in `EXPECTED`, counted exactly.

use std::{
    collections::BTreeMap,
    path::{Path, PathBuf},
};

use elbowroom::{
    exchange::musicxml,
    score::{Attack, Direction, Dynamics, Quarters, attacks},
};
use serde::Deserialize;

#[derive(Deserialize)]
struct Reference {
    source: PathBuf,
    part: usize,
    events: Vec<Expected>,
}

#[derive(Deserialize)]
struct Expected {
    bar: usize,
    number: String,
    in_bar: String,
    onset: String,
    duration: String,
    grace: bool,
    midi: Vec<f64>,
    bow: Option<String>,
    slur_starts: usize,
    slur_ends: usize,
    level: Option<String>,
    seconds: f64,
}

/// What is compared.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Aspect {
    /// A note of ours that the reference does not have at this place with this pitch.
    Extra,
    /// A note of the reference that we do not have.
    Missing,
    Duration,
    /// A bar from which on the bar starts differ by another amount than before.
    BarStart,
    Slurs,
    Bow,
    Level,
    Seconds,
}

/// Accepted differences: part, aspect, how many, and who is right.
const EXPECTED: &[(&str, Aspect, usize, &str)] = &[];

fn folder() -> Option<PathBuf> {
    let folder = std::env::var_os("ELBOWROOM_REFERENCE")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("target/reference"), PathBuf::from);
    folder.is_dir().then_some(folder)
}

/// A note's bar, place in the bar and pitches, which pair it with the note of the other reader.
/// Places are rounded to a millionth of a quarter: the reference holds long fractions only nearly.
type Key = (usize, i64, bool, Vec<i64>);

fn key(bar: usize, onset: Quarters, grace: bool, midi: &[f64]) -> Key {
    let mut midi: Vec<i64> = midi.iter().map(|m| (m * 4.0).round() as i64).collect();
    midi.dedup();
    (bar, (onset.to_f64() * 1e6).round() as i64, grace, midi)
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() <= 1e-5 * (1.0 + b.abs())
}

/// Differences of one part, with the place of each.
fn compare(reference: &Reference) -> BTreeMap<Aspect, Vec<String>> {
    let bytes = std::fs::read(&reference.source).expect("the source of a reference is readable");
    let document = musicxml::open(&bytes).expect("a real score opens");
    let score = document.read(reference.part).expect("a real part reads").score;
    let (tempo, dynamics) = (score.tempo_map(), Dynamics::new(&score));
    let ours = attacks(&score);
    let mut waiting: BTreeMap<Key, Vec<&Attack>> = BTreeMap::new();
    for attack in &ours {
        // A grace note at the end of a bar has the onset of the next bar.
        let ends_bar = attack.grace.is_some_and(|grace| grace.after)
            && attack.bar > 0
            && score.bars[attack.bar].start == attack.onset;
        let bar = attack.bar - usize::from(ends_bar);
        let place = key(bar, attack.onset - score.bars[bar].start, attack.grace.is_some(), &attack.midi());
        waiting.entry(place).or_default().push(attack);
    }
    let ends = |attack: &Attack| {
        let own = |id| attack.events.contains(&id);
        let starts = score.slurs.iter().filter(|slur| own(slur.from) && !own(slur.to)).count();
        (starts, score.slurs.iter().filter(|slur| own(slur.to) && !own(slur.from)).count())
    };
    let mut found: BTreeMap<Aspect, Vec<String>> = BTreeMap::new();
    let mut drifted = Quarters::ZERO;
    for expected in &reference.events {
        let in_bar: Quarters = expected.in_bar.parse().expect("a fraction");
        let onset: Quarters = expected.onset.parse().expect("a fraction");
        let place = format!("bar {} at {onset} {:?}", expected.number, expected.midi);
        let mut differs = |aspect: Aspect, text: String| {
            found.entry(aspect).or_default().push(format!("{place}: {text}"));
        };
        let candidates =
            waiting.entry(key(expected.bar, in_bar, expected.grace, &expected.midi)).or_default();
        if candidates.is_empty() {
            differs(Aspect::Missing, format!("lasting {}", expected.duration));
            continue;
        }
        // Of several equal notes (a unison of two voices, repeated grace notes) take the most alike.
        let unlike = |attack: &&Attack| {
            let duration: Quarters = expected.duration.parse().expect("a fraction");
            let length = usize::from(!near(attack.duration.to_f64(), duration.to_f64()));
            let slurs = usize::from(ends(attack) != (expected.slur_starts, expected.slur_ends));
            2 * length + slurs
        };
        let best = (0..candidates.len()).min_by_key(|&at| unlike(&candidates[at])).expect("not empty");
        let attack = candidates.remove(best);
        let duration: Quarters = expected.duration.parse().expect("a fraction");
        if !near(attack.duration.to_f64(), duration.to_f64()) {
            differs(Aspect::Duration, format!("{} for {duration}", attack.duration));
        }
        let drift = onset - attack.onset;
        if drift != drifted {
            drifted = drift;
            differs(Aspect::BarStart, format!("from here the reference is {drift} quarters late"));
        }
        let slurs = ends(attack);
        if slurs != (expected.slur_starts, expected.slur_ends) {
            let wanted = (expected.slur_starts, expected.slur_ends);
            differs(Aspect::Slurs, format!("(starts, ends) {slurs:?} for {wanted:?}"));
        }
        if attack.bow.map(Direction::word) != expected.bow.as_deref() {
            differs(Aspect::Bow, format!("{:?} for {:?}", attack.bow, expected.bow));
        }
        let level = dynamics.mark_at(attack.onset).map(elbowroom::score::Dynamic::mark);
        if level != expected.level.as_deref() {
            differs(Aspect::Level, format!("{level:?} for {:?}", expected.level));
        }
        let seconds = tempo.seconds(attack.onset);
        if drifted.is_zero() && !near(seconds, expected.seconds) {
            differs(Aspect::Seconds, format!("{seconds} s for {} s", expected.seconds));
        }
    }
    for attack in waiting.into_values().flatten() {
        let text = format!(
            "bar {} at {} {:?} line {}",
            score.bars[attack.bar].number,
            attack.onset,
            attack.midi(),
            score.event(attack.id()).map_or(0, |e| e.line)
        );
        found.entry(Aspect::Extra).or_default().push(text);
    }
    found
}

#[test]
fn real_parts_are_read_as_an_independent_reader_reads_them() {
    let Some(folder) = folder() else {
        println!(
            "SKIPPED: no reference in target/reference. Make it with\n  python3 -m venv target/reference-venv\n  \
             target/reference-venv/bin/pip install music21==10.5.1\n  \
             target/reference-venv/bin/python tests/reference/make_reference.py target/reference\n\
             or name its folder in ELBOWROOM_REFERENCE."
        );
        return;
    };
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("readable")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .collect();
    paths.sort();
    let mut unexpected = Vec::new();
    let mut events = 0;
    for path in &paths {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        let reference: Reference =
            serde_json::from_slice(&std::fs::read(path).expect("readable")).expect("a reference");
        events += reference.events.len();
        let found = compare(&reference);
        let expected: BTreeMap<Aspect, usize> =
            EXPECTED.iter().filter(|entry| entry.0 == name).map(|entry| (entry.1, entry.2)).collect();
        let aspects: std::collections::BTreeSet<Aspect> =
            found.keys().chain(expected.keys()).copied().collect();
        for aspect in aspects {
            let places = found.get(&aspect).map_or(&[][..], Vec::as_slice);
            let accepted = expected.get(&aspect).copied().unwrap_or(0);
            if places.len() != accepted {
                unexpected.push(format!(
                    "{name}: {aspect:?}: {} found, {accepted} accepted\n    {}",
                    places.len(),
                    places.iter().take(6).cloned().collect::<Vec<_>>().join("\n    ")
                ));
            }
        }
    }
    println!("{} parts, {events} notes compared", paths.len());
    assert!(paths.len() >= 30, "only {} parts in the reference", paths.len());
    assert!(unexpected.is_empty(), "{}", unexpected.join("\n"));
}
