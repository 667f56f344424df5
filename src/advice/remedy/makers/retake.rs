//! The bow lifted and set again, or not.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
    words::note_at,
};
use crate::{
    bowing::{Reached, Verdict},
    score::{Direction, count_words, sentence_case},
};

/// No lift before the stroke: the sign goes.
pub fn no_retake(case: &Case) -> Vec<Proposal> {
    let start = case.notes(case.stroke).start;
    let first = case.note(start);
    let at = case.at(start);
    if !first.retake {
        return Vec::new();
    }
    let words = format!("No retake before {at}");
    vec![Proposal::new(Change::NoRetake, words, [Correction::NoRetake(first.id())])]
}

/// A lift before the stroke, before the one before it, before one of its later notes; behind it where the bow need
/// not be won back then. Where it runs out a lift behind it is too late.
pub fn retakes(case: &Case) -> Vec<Proposal> {
    let here = case.notes(case.stroke);
    let start = |stroke: usize| (case.notes(stroke).start, case.direction(stroke));
    let late = here.skip(1).rev().find(|&k| case.note(k).onset <= case.finding.out);
    let places = [
        Some(start(case.stroke)),
        case.stroke.checked_sub(1).map(start),
        case.next().filter(|_| case.finding.verdict > Verdict::RunsOut).map(start),
        late.map(|k| (k, case.direction(case.stroke))),
    ];
    let mut found = Vec::new();
    for (k, direction) in places.into_iter().flatten() {
        let (change, what) = match case.analysis().bowed(k).reached {
            Reached::First | Reached::Air(_) => continue,
            Reached::BowChange => (Change::Retake, "Retake before"),
            Reached::SameStroke => (Change::RetakeInside, "End this bow and lift before"),
        };
        for direction in [direction, direction.turned()] {
            let words = format!("{what} {}, {}", case.at(k), direction.bow_word());
            let correction = Correction::Retake(case.note(k).id(), direction);
            found.push(Proposal::new(change, words, [correction]));
        }
    }
    found
}

/// Chords one after the other, each on a down-bow.
pub fn chords_down(case: &Case) -> Vec<Proposal> {
    let strokes = case.analysis().bowing.strokes.len();
    let chord = |stroke: usize| {
        let notes = case.notes(stroke);
        notes.len() == 1 && case.note(notes.start).notes.len() > 2
    };
    let follows = |stroke: usize| chord(stroke) && case.stays(stroke);
    let first = (0..=case.stroke).rev().find(|&stroke| !follows(stroke)).unwrap_or(0);
    let first = if chord(first) { first } else { first + 1 };
    let last = (case.stroke + 1..strokes).find(|&stroke| !follows(stroke)).unwrap_or(strokes);
    if last < first + 2 {
        return Vec::new();
    }
    let head = |stroke: usize| case.note(case.notes(stroke).start);
    let corrections: Vec<Correction> =
        (first..last).map(|stroke| Correction::Retake(head(stroke).id(), Direction::Down)).collect();
    let from = note_at(&case.lesson().score, head(first).onset);
    let words = format!(
        "{} chords down-bow one after the other, from {from}",
        sentence_case(&count_words(last - first))
    );
    vec![Proposal::new(Change::Retake, words, corrections)]
}
