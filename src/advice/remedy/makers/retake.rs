//! The bow lifted and set again, or not.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
    words::note_at,
};
use crate::{
    bowing::Reached,
    score::{Direction, count_words, sentence_case},
};

/// No lift before the stroke: the sign goes, or the bow mark that asks for it.
pub fn no_retake(case: &Case) -> Vec<Proposal> {
    let start = case.notes(case.stroke).start;
    let first = case.note(start);
    let at = case.at(start);
    let (words, correction) = if first.retake {
        (format!("No retake before {at}"), Correction::NoRetake(first.id()))
    } else if first.bow.is_some() && matches!(case.analysis().bowed(start).reached, Reached::Air(_)) {
        (format!("No bow mark at {at}: play on without a lift"), Correction::NoMark(first.id()))
    } else {
        return Vec::new();
    };
    vec![Proposal::new(Change::NoRetake, words, [correction])]
}

/// A lift before the stroke, before the one before and after it, before one of its later notes.
pub fn retakes(case: &Case) -> Vec<Proposal> {
    let here = case.notes(case.stroke);
    let start = |stroke: usize| (case.notes(stroke).start, case.direction(stroke));
    let late = here.skip(1).rev().find(|&k| case.note(k).onset <= case.finding.at);
    let places = [
        Some(start(case.stroke)),
        case.stroke.checked_sub(1).map(start),
        case.next().map(start),
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
