//! The bow changed inside a note.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::score::{Attack, Quarters, Score, SignKind};

/// At most this many places inside one long note are tried for a bow change. Assumed.
const MOST_INSIDE: usize = 2;

/// A shorter note is not divided, s. Assumed.
const LASTS_S: f64 = 2.0;

/// At a new dynamic, and at a barline, a new bow may lie so much of the length away from the middle. Assumed.
const AT_A_DYNAMIC: f64 = 0.25;
const AT_A_BARLINE: f64 = 0.1;

/// The bow changed inside a note, once or twice: at ties it is written with, else on beats. Twice
/// leaves the directions after it as they are.
pub fn changes_in_a_note(case: &Case) -> Vec<Proposal> {
    let notes = case.notes(case.stroke);
    // In a slur the place for another bow is between its notes.
    let alone = notes.len() == 1;
    let notes = notes.filter(|&k| case.analysis().piece(k).seconds >= LASTS_S);
    notes.flat_map(|k| changes(&case.lesson().score, case.note(k), alone)).collect()
}

/// A time inside a note, and what changes the bow there.
type Cut = (Quarters, Vec<Correction>);

fn changes(score: &Score, note: &Attack, alone: bool) -> Vec<Proposal> {
    let mut places = ties(score, note);
    let tied = !places.is_empty();
    if !tied && alone {
        let beats = beats_inside(score, note);
        places.extend(beats.into_iter().map(|at| (at, vec![Correction::Inside(note.id(), at)])));
    }
    let at = |place: usize| score.place(places[place].0).short();
    let mut found = Vec::new();
    for place in nearest(score, note, &places, 0.5).into_iter().take(MOST_INSIDE) {
        let words = match tied {
            true => format!("Change bow at the tie into {}", at(place)),
            false => format!("Change bow inside the note, on {}", at(place)),
        };
        found.push(Proposal::new(Change::Inside, words, &places[place].1[..]));
    }
    if let Some((first, second)) = two(score, note, &places) {
        let words = match tied {
            true => format!("Change bow at the ties into {} and {}", at(first), at(second)),
            false => format!("Change bow twice inside the note, on {} and {}", at(first), at(second)),
        };
        // The later one first: cutting a note leaves its first part its identity.
        let corrections = [&places[second].1[..], &places[first].1].concat();
        found.push(Proposal::new(Change::Inside, words, corrections));
    }
    found
}

/// The ties inside a note.
fn ties(score: &Score, note: &Attack) -> Vec<Cut> {
    let onset = |id| score.event(id).map(|event| event.onset);
    let untie = |id| vec![Correction::Untie(id), Correction::NewBow(id)];
    let mut places: Vec<Cut> = note.events.iter().filter_map(|&id| Some((onset(id)?, untie(id)))).collect();
    places.retain(|(at, _)| *at > note.onset);
    places.sort_by_key(|(at, _)| *at);
    places.dedup_by_key(|(at, _)| *at);
    places
}

/// The places by how near they are to a share of the note's length; where the dynamic changes a new bow is not
/// heard, and at a barline less.
fn nearest(score: &Score, note: &Attack, places: &[Cut], share: f64) -> Vec<usize> {
    let length = (note.end() - note.onset).to_f64();
    let off = |place: usize| {
        let at = places[place].0;
        let off = ((at - note.onset).to_f64() - share * length).abs() / length.max(f64::MIN_POSITIVE);
        off - unheard(score, at)
    };
    let mut order: Vec<usize> = (0..places.len()).collect();
    order.sort_by(|&a, &b| off(a).total_cmp(&off(b)));
    order
}

/// Of two ways to cut that leave as long a part the one that is alike from both ends is taken. Assumed: less than any
/// other difference.
const LOPSIDED: f64 = 0.01;

/// The two places that leave three parts as equal as can be, where a new bow is heard least.
fn two(score: &Score, note: &Attack, places: &[Cut]) -> Option<(usize, usize)> {
    let length = (note.end() - note.onset).to_f64().max(f64::MIN_POSITIVE);
    let share = |place: usize| (places[place].0 - note.onset).to_f64() / length;
    let off = |(a, b): (usize, usize)| {
        let longest = share(a).max(share(b) - share(a)).max(1.0 - share(b));
        let lopsided = LOPSIDED * (share(a) + share(b) - 1.0).abs();
        longest + lopsided - (unheard(score, places[a].0) + unheard(score, places[b].0)) / 2.0
    };
    let pairs = (0..places.len()).flat_map(|a| (a + 1..places.len()).map(move |b| (a, b)));
    pairs.min_by(|a, b| off(*a).total_cmp(&off(*b)))
}

/// How much of the length a new bow may lie off for being heard less there. Assumed.
pub(super) fn unheard(score: &Score, at: Quarters) -> f64 {
    let begins =
        |kind: &SignKind| matches!(kind, SignKind::Dynamic(_) | SignKind::Hairpin { opens: true, .. });
    let dynamic = score.signs.iter().any(|sign| sign.at == at && begins(&sign.kind));
    let barline = score.bars.iter().any(|bar| bar.start == at);
    (if dynamic { AT_A_DYNAMIC } else { 0.0 }) + (if barline { AT_A_BARLINE } else { 0.0 })
}

/// The beats on which a note goes on sounding.
fn beats_inside(score: &Score, note: &Attack) -> Vec<Quarters> {
    let bars = score.bars.iter().filter(|bar| bar.end() > note.onset && bar.start < note.end());
    bars.flat_map(|bar| {
        let beats = (0..).map(|k| bar.start + bar.time.beat() * Quarters::from(k));
        beats.take_while(|at| *at < bar.end())
    })
    .filter(|at| *at > note.onset && *at < note.end())
    .collect()
}
