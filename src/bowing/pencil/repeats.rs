//! One figure that comes out the other way round.

use std::collections::BTreeMap;

use super::{Advice, Draft, Need, Topic};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::{Direction, Quarters},
};

/// A figure is remembered for so many bars. Assumed.
const REMEMBERED_BARS: usize = 8;
/// Fewer strokes in a bar are no figure. Assumed.
const LEAST_STROKES: usize = 3;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    // By figure the stroke it began with.
    let mut seen: BTreeMap<u64, usize> = BTreeMap::new();
    let strokes = evidence.strokes();
    let mut first = 0;
    while first < strokes.len() {
        let piece = evidence.main_note(first);
        let bar = evidence.note(piece).bar;
        let count = (first..strokes.len())
            .take_while(|&stroke| evidence.note(evidence.main_note(stroke)).bar == bar)
            .count();
        let keys = figure(evidence, first..first + count);
        // Strokes that are all alike turn over by themselves, and after a rest the direction is chosen.
        let uneven = count >= LEAST_STROKES && keys.iter().any(|key| *key != keys[0]);
        let on_string = !evidence.silence_before(first).is_none_or(Quarters::is_positive);
        let figure = hashed((keys, evidence.is_first_beat(piece)));
        if uneven
            && let Some(before) = seen.insert(figure, first)
            && on_string
            && evidence.way(before) != evidence.way(first)
            && evidence.note(piece).bow.is_none()
            && bar - evidence.note(evidence.main_note(before)).bar <= REMEMBERED_BARS
        {
            // On a barline the one that goes up is upside down.
            let upright = evidence.is_first_beat(piece) && evidence.way(first) == Direction::Down;
            let (turned_over, model) = if upright { (before, first) } else { (first, before) };
            drafts.push(turned(evidence, turned_over, model, figure));
        }
        first += count;
    }
}

/// Rhythm, slurs, accents and line of the strokes of a bar.
fn figure(evidence: &Evidence, strokes: std::ops::Range<usize>) -> Vec<u64> {
    let key = |stroke: usize| {
        let notes = evidence.strokes()[stroke].notes.clone();
        let accents: Vec<bool> = notes.clone().map(|piece| evidence.is_accented(piece)).collect();
        hashed((evidence.rhythm(stroke), accents))
    };
    strokes.map(key).collect()
}

fn turned(evidence: &Evidence, stroke: usize, model: usize, figure: u64) -> Draft {
    let piece = evidence.main_note(stroke);
    let bar = evidence.bar_words(evidence.note(evidence.main_note(model)).bar);
    // Of notes under a slur no two are joined.
    let single = |before: usize| stroke.checked_sub(before).is_some_and(|k| evidence.main_notes(k) == 1);
    let cure = if single(1) && single(2) { ", or take the two notes before it in one bow" } else { "" };
    let advice = Advice::new(
        Topic::SameFigure,
        Need::Worth,
        "other way round",
        format!("The figure of {bar} begins with the other bow here: make both sound alike{cure}."),
        "Up-bow and down-bow lean on different notes by themselves.",
    );
    advice.over(evidence, piece, figure)
}
