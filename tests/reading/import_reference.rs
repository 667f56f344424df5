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
    score::{Attack, Direction, Dynamics, Event, Quarters, Score, SignKind, attacks},
};
use serde::Deserialize;

use crate::data::found;

#[derive(Deserialize)]
pub struct Reference {
    pub source: PathBuf,
    pub part: usize,
    /// (bar index, place in the bar, level) of the dynamic marks.
    levels: Vec<(usize, String, String)>,
    /// (place from the start, quarter notes per minute).
    tempos: Vec<(String, f64)>,
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
pub enum Aspect {
    /// A note of ours that the reference does not have at this place with this pitch.
    Extra,
    /// A note of the reference that we do not have.
    Missing,
    Duration,
    /// A bar from which on the bar starts differ by another amount than before.
    BarStart,
    Slurs,
    Bow,
    /// A level that differs because a mark stands elsewhere (see [`moved_levels`]).
    LevelPlace,
    /// A level that differs for another reason.
    Level,
    /// A tempo mark that stands elsewhere.
    TempoPlace,
    /// The tempi themselves differ; seconds are not compared then.
    Tempo,
    /// Seconds that the places of the tempo marks do not explain.
    Seconds,
}

/// Accepted differences, one a line: part, aspect, how many. Each class has its reason in
/// [`reason`]; where reading the XML showed us to be wrong, the reader was mended instead.
const ACCEPTED: &str = include_str!("../reference/accepted.txt");

/// Who is right in the accepted differences, by what the XML says.
fn reason(aspect: Aspect) -> &'static str {
    match aspect {
        Aspect::Extra | Aspect::Missing => "none is accepted",
        Aspect::Duration => {
            "the reference adds up what exporters rounded, and keeps a note tied over the barline as \
             short as the file has it; we let the last note of a bar reach the barline"
        }
        Aspect::BarStart => {
            "the reference adds up each part's own contents, so a bar with a missing rest or rounded \
             tuplets moves all that follows; we give the bar the length the other parts have"
        }
        Aspect::Slurs => {
            "two slurs over the same notes are one for us; a tie to another pitch is a slur; where a \
             number is started twice before it is stopped the reference takes the first start, we the \
             nearest; the reference loses some slurs after a loose end of their number"
        }
        Aspect::Bow => "a mark after slurred grace notes is moved to the first of them: the bow starts there",
        Aspect::LevelPlace => {
            "the reference puts a mark exactly where its offset points, which is often just after the \
             note the exporter meant; we take the note"
        }
        Aspect::Level => {
            "the same: two marks with different offsets at one note, and a mark that points back from \
             beyond a pick-up"
        }
        Aspect::TempoPlace => {
            "small offsets only move the print for us; the first part of the reference may be moved \
             by its own bars"
        }
        Aspect::Tempo => {
            "a printed number that says a fifth or a tenth of the tempo for playback, because the rest \
             of the mark is in words, is a slip for us; the reference takes it"
        }
        Aspect::Seconds => "none is accepted",
    }
}

fn accepted(name: &str) -> BTreeMap<String, usize> {
    let line = |line: &str| -> Option<(String, usize)> {
        let mut words = line.split_whitespace();
        (words.next()? == name).then_some(())?;
        Some((words.next()?.to_owned(), words.next()?.parse().ok()?))
    };
    ACCEPTED.lines().filter_map(line).collect()
}

pub fn folder() -> Option<PathBuf> {
    let folder = std::env::var_os("ELBOWROOM_REFERENCE")
        .map_or_else(|| Path::new(env!("CARGO_MANIFEST_DIR")).join("target/reference"), PathBuf::from);
    found(
        folder,
        "make it with\n  python3 -m venv target/reference-venv\n  \
         target/reference-venv/bin/pip install music21==10.5.1\n  \
         target/reference-venv/bin/python tests/reference/make_reference.py target/reference\n\
         or name its folder in ELBOWROOM_REFERENCE",
    )
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

fn quarters(text: &str) -> Quarters {
    text.parse().expect("a fraction")
}

/// Stretches (from, until) of time in which the levels differ only because the two readers put the
/// same dynamic mark at different places, at most two quarters apart.
fn moved_levels(reference: &Reference, score: &Score) -> Vec<(Quarters, Quarters)> {
    let ours = score.signs.iter().filter_map(|sign| match sign.kind {
        SignKind::Dynamic(level) => Some((sign.at, level.mark())),
        _ => None,
    });
    let ours: Vec<(Quarters, &str)> = ours.collect();
    let mut stretches = Vec::new();
    for (bar, inside, level) in &reference.levels {
        let Some(bar) = score.bars.get(*bar) else { continue };
        let at = bar.start + quarters(inside);
        let same = ours.iter().filter(|(_, own)| own == level).map(|(own, _)| *own);
        if let Some(own) = same.min_by_key(|own| (*own - at).abs())
            && own != at
            && (own - at).abs() <= Quarters::from(2)
        {
            stretches.push((own.min(at), own.max(at)));
        }
    }
    stretches
}

/// What the places of tempo marks may add to the seconds at a place: (from where, seconds).
/// Nothing where the tempi themselves differ.
fn tempo_allowance(
    reference: &Reference,
    score: &Score,
    moved: &mut Vec<String>,
) -> Option<Vec<(Quarters, f64)>> {
    let ours = score.signs.iter().filter_map(|sign| match sign.kind {
        SignKind::Tempo { qpm, .. } => Some((sign.at, qpm)),
        _ => None,
    });
    let ours: Vec<(Quarters, f64)> = ours.collect();
    if ours.len() != reference.tempos.len() {
        return None;
    }
    let (mut allowance, mut sum) = (Vec::new(), 0.0);
    let mut before = ours.first().map_or(120.0, |(_, qpm)| *qpm);
    for ((at, qpm), (expected_at, expected)) in ours.iter().zip(&reference.tempos) {
        if !near(*qpm, *expected) {
            return None;
        }
        let expected_at = quarters(expected_at);
        if *at != expected_at {
            moved.push(format!("{qpm} at {at} for {expected_at}"));
            sum += (*at - expected_at).to_f64().abs() * 60.0 * (1.0 / before - 1.0 / qpm).abs();
            allowance.push(((*at).min(expected_at), sum));
        }
        before = *qpm;
    }
    Some(allowance)
}

/// What the other reader found in every part of a folder, with its name, in the order of the names.
pub fn references(folder: &Path) -> Vec<(String, Reference)> {
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder)
        .expect("readable")
        .map(|entry| entry.expect("readable").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .collect();
    paths.sort();
    let named = |path: PathBuf| {
        let name = path.file_stem().expect("a name").to_string_lossy().into_owned();
        (name, serde_json::from_slice(&std::fs::read(path).expect("readable")).expect("a reference"))
    };
    paths.into_iter().map(named).collect()
}

/// The part of a reference as our reader has it.
fn own_score(reference: &Reference) -> Score {
    let bytes = std::fs::read(&reference.source).expect("the source of a reference is readable");
    let document = musicxml::open(&bytes).expect("a real score opens");
    document.read(reference.part).expect("a real part reads").score
}

/// In what a score differs from the part that the other reader found, with the place of each difference.
pub fn compare(reference: &Reference, score: &Score) -> BTreeMap<Aspect, Vec<String>> {
    let (tempo, dynamics) = (score.tempo_map(), Dynamics::new(score));
    // The reference joins all that is tied; for us a bow mark on a tied-over note begins another bow there.
    let mut joined = score.clone();
    let is_tied_over = |event: &Event| event.notes.iter().all(|note| note.tie_stop);
    joined.events.iter_mut().filter(|event| is_tied_over(event)).for_each(|event| event.bow = None);
    let ours = attacks(&joined);
    let mut waiting: BTreeMap<Key, Vec<&Attack>> = BTreeMap::new();
    for attack in &ours {
        let in_bar = attack.onset - score.bars[attack.bar].start;
        let place = key(attack.bar, in_bar, attack.grace.is_some(), &attack.midi());
        waiting.entry(place).or_default().push(attack);
    }
    let ends = |attack: &Attack| {
        let own = |id| attack.events.contains(&id);
        let starts = score.slurs.iter().filter(|slur| own(slur.from) && !own(slur.to)).count();
        (starts, score.slurs.iter().filter(|slur| own(slur.to) && !own(slur.from)).count())
    };
    let mut found: BTreeMap<Aspect, Vec<String>> = BTreeMap::new();
    let mut drifted = Quarters::ZERO;
    let moved_levels = moved_levels(reference, score);
    let mut moved_tempos = Vec::new();
    let allowance = tempo_allowance(reference, score, &mut moved_tempos);
    if !moved_tempos.is_empty() {
        found.insert(Aspect::TempoPlace, moved_tempos);
    }
    if allowance.is_none() {
        let own: Vec<(String, f64)> = score
            .signs
            .iter()
            .filter_map(|sign| match sign.kind {
                SignKind::Tempo { qpm, .. } => Some((sign.at.to_string(), qpm)),
                _ => None,
            })
            .collect();
        let first = own.iter().zip(&reference.tempos).find(|(a, b)| !near(a.1, b.1));
        let lengths = (own.len(), reference.tempos.len());
        found.insert(Aspect::Tempo, vec![format!("{lengths:?} marks, first difference {first:?}")]);
    }
    for expected in &reference.events {
        let in_bar = quarters(&expected.in_bar);
        let onset = quarters(&expected.onset);
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
            let duration = quarters(&expected.duration);
            let length = usize::from(!near(attack.duration.to_f64(), duration.to_f64()));
            let slurs = usize::from(ends(attack) != (expected.slur_starts, expected.slur_ends));
            2 * length + slurs
        };
        let best = (0..candidates.len()).min_by_key(|&at| unlike(&candidates[at])).expect("not empty");
        let attack = candidates.remove(best);
        let duration = quarters(&expected.duration);
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
            let moved = moved_levels.iter().any(|(from, until)| (*from..=*until).contains(&attack.onset));
            let aspect = if moved { Aspect::LevelPlace } else { Aspect::Level };
            differs(aspect, format!("{level:?} for {:?}", expected.level));
        }
        if let Some(allowance) = &allowance
            && drifted.is_zero()
        {
            let allowed =
                allowance.iter().rev().find(|(from, _)| *from <= onset).map_or(0.0, |(_, sum)| *sum);
            let seconds = tempo.seconds(attack.onset);
            if (seconds - expected.seconds).abs() > allowed + 1e-5 * (1.0 + seconds) {
                differs(Aspect::Seconds, format!("{seconds} s for {} s", expected.seconds));
            }
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
    let Some(folder) = folder() else { return };
    let references = references(&folder);
    let mut unexpected = Vec::new();
    let mut table = String::new();
    let mut events = 0;
    for (name, reference) in &references {
        events += reference.events.len();
        let found = compare(reference, &own_score(reference));
        let accepted = accepted(name);
        let known: Vec<String> = found.keys().map(|aspect| format!("{aspect:?}")).collect();
        for (aspect, count) in accepted.iter().filter(|(aspect, _)| !known.contains(aspect)) {
            unexpected.push(format!("{name}: {aspect}: none found, {count} accepted"));
        }
        for (aspect, places) in &found {
            let count = accepted.get(&format!("{aspect:?}")).copied().unwrap_or(0);
            table += &format!("{name} {aspect:?} {}\n", places.len());
            if places.len() != count {
                unexpected.push(format!(
                    "{name}: {aspect:?}: {} found, {count} accepted ({})\n    {}",
                    places.len(),
                    reason(*aspect),
                    places.iter().take(6).cloned().collect::<Vec<_>>().join("\n    ")
                ));
            }
        }
    }
    if let Some(path) = std::env::var_os("ELBOWROOM_TABLE") {
        std::fs::write(path, &table).expect("writable");
    }
    println!("{} parts, {events} notes compared", references.len());
    assert!(references.len() >= 30, "only {} parts in the reference", references.len());
    assert!(unexpected.is_empty(), "{}", unexpected.join("\n"));
}
