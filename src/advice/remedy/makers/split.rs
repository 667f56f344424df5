//! A new bow between two notes of a stroke.

use std::collections::BTreeSet;

use super::{
    super::{
        case::Case,
        correction::Correction,
        trial::{Change, Proposal},
    },
    inside::unheard,
};

/// At most this many places are tried for splitting one stroke. Assumed.
const MOST_SPLITS: usize = 6;
/// At most this many places are tried for splitting the stroke before. Assumed.
const MOST_BEFORE: usize = 2;

/// The stroke in two bows, or in three.
pub fn splits(case: &Case) -> Vec<Proposal> {
    let mut found: Vec<Proposal> = places(case)
        .into_iter()
        .take(MOST_SPLITS)
        .map(|k| {
            let (correction, words) = at(case, k);
            Proposal::new(Change::Split, words, [correction])
        })
        .collect();
    // Three bows in the place of one leave the directions after them as they are.
    if let (Some(a), Some(b)) = (nearest(case, 1.0 / 3.0), nearest(case, 2.0 / 3.0))
        && a != b
    {
        let words = format!("{} in three, before {} and {}", what(case), case.at(a), case.at(b));
        let corrections = [a, b].map(|k| Correction::NewBow(case.note(k).id()));
        found.push(Proposal::new(Change::Split, words, corrections));
    }
    found
}

/// The best split of the stroke, for two changes at once.
pub fn best(case: &Case) -> Option<(Correction, String)> {
    places(case).first().map(|&k| at(case, k))
}

/// The stroke before in two, so that this one comes the other way.
pub fn splits_before(case: &Case) -> Vec<Proposal> {
    let Some(before) = case.stroke.checked_sub(1).filter(|_| case.stays(case.stroke)) else {
        return Vec::new();
    };
    let notes = case.notes(before);
    let mut inner = inner(case, before);
    let middle = notes.start + notes.len() / 2;
    inner.sort_by_key(|&k| (!case.is_on_beat(k), k.abs_diff(middle)));
    let way = case.direction(case.stroke).turned().bow_word();
    let here = case.at(case.notes(case.stroke).start);
    let split = |&k: &usize| {
        let words = format!("A new bow before {}, so that {here} is {way}", case.at(k));
        Proposal::new(Change::Split, words, [Correction::NewBow(case.note(k).id())])
    };
    inner.iter().take(MOST_BEFORE).map(split).collect()
}

fn what(case: &Case) -> &'static str {
    let slurred = case.note(case.notes(case.stroke).start + 1).slur.is_some();
    if slurred { "Split the slur" } else { "Take a new bow" }
}

fn at(case: &Case, k: usize) -> (Correction, String) {
    let words = format!("{} before {}", what(case), case.at(k));
    (Correction::NewBow(case.note(k).id()), words)
}

/// The notes of a stroke before which it may be split.
fn inner(case: &Case, stroke: usize) -> Vec<usize> {
    case.notes(stroke).skip(1).filter(|&k| case.note(k).grace.is_none()).collect()
}

/// Places to split the stroke, the best first, each once.
fn places(case: &Case) -> Vec<usize> {
    let inner = inner(case, case.stroke);
    let bars = &case.lesson().score.bars;
    let on_bar = |k: &usize| bars.get(case.note(*k).bar).is_some_and(|bar| bar.start == case.note(*k).onset);
    // Where a new bow is heard least, not far from the middle.
    let score = &case.lesson().score;
    let (from, until) = case.span();
    let length = (until - from).to_f64().max(f64::MIN_POSITIVE);
    let off = |k: &usize| {
        let at = case.note(*k).onset;
        ((at - from).to_f64() / length - 0.5).abs() - unheard(score, at)
    };
    let least = inner.iter().copied().min_by(|a, b| off(a).total_cmp(&off(b)));
    // The last note that starts before the hair ends.
    let in_time = inner.iter().copied().rev().find(|&k| case.note(k).onset <= case.finding.out);
    let mut places: Vec<usize> = least.into_iter().chain(nearest(case, 0.5)).chain(in_time).collect();
    places.extend(inner.iter().copied().filter(on_bar));
    places.extend(inner.iter().copied().filter(|&k| case.is_on_beat(k)));
    places.extend(inner);
    let mut seen = BTreeSet::new();
    places.retain(|k| seen.insert(*k));
    places
}

/// The note before which the stroke is split nearest to this share of its time.
fn nearest(case: &Case, share: f64) -> Option<usize> {
    let analysis = case.analysis();
    let seconds = |k: usize| analysis.bowed(k).onset_s;
    let notes = case.notes(case.stroke);
    let span = (seconds(notes.start), analysis.seconds_at(case.note(notes.end - 1).end()));
    let off = |k: usize| (seconds(k) - (span.0 + (span.1 - span.0) * share)).abs();
    inner(case, case.stroke).into_iter().min_by(|&a, &b| off(a).total_cmp(&off(b)))
}
