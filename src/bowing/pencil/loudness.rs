//! Dynamics that change at once, and how phrases end.

use super::{Advice, Draft, Need, Topic, silence_before};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::{Quarters, SignKind},
};

/// A change of so many dynamic steps at once is sudden. Assumed: from mf to p, or p to mf.
const SUDDEN: f64 = 1.9;
/// From here on it must be told where no rest gives time. Assumed: from f to p.
const VERY_SUDDEN: f64 = 2.9;
/// A rest of so many quarters ends a phrase. Assumed.
const PHRASE_REST: i64 = 2;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for sign in &evidence.lesson.score.signs {
        if matches!(sign.kind, SignKind::Dynamic(_)) {
            drafts.extend(sudden(evidence, sign.at));
        }
    }
    for stroke in 1..evidence.strokes().len() {
        drafts.extend(phrase_end(evidence, stroke));
    }
}

fn sudden(evidence: &Evidence, at: Quarters) -> Option<Draft> {
    let dynamics = &evidence.line.dynamics;
    let notes = &evidence.bowing.notes;
    let piece = notes.partition_point(|bowed| evidence.line.notes[bowed.note].onset < at);
    let before = evidence.note(piece.checked_sub(1)?);
    if piece >= notes.len() {
        return None;
    }
    let step = dynamics.level(at.to_f64()) - dynamics.level(before.end().min(at).to_f64() - 1e-6);
    if step.abs() < SUDDEN {
        return None;
    }
    let rest = evidence.note(piece).onset - before.end();
    let direct = !rest.is_positive();
    let weight = if step < -VERY_SUDDEN + 0.5 && direct { Need::Must } else { Need::Worth };
    let (text, sentence, why) = match (step < 0.0, direct) {
        (true, true) => (
            "at once soft",
            "Stop the bow short before the soft note and begin it with hair that hardly catches.",
            "What is left of the loud bow would sound into the soft note.",
        ),
        (true, false) => (
            "up the bow, soft",
            "In the rest go out to the upper half; begin small.",
            "Soft playing lies where the bow is light.",
        ),
        (false, true) => (
            "more bow, lower half",
            "From this note on a full bow, toward the frog.",
            "Loud playing needs weight and length at once.",
        ),
        (false, false) => (
            "to the frog",
            "Use the rest to come back toward the frog.",
            "Loud playing lies where the bow is heavy.",
        ),
    };
    let advice = Advice { topic: Topic::SuddenDynamic, weight, text, sentence: sentence.to_owned(), why };
    // Each is a place of its own.
    Some(advice.over(evidence, piece, hashed((at.numer(), at.denom()))))
}

/// The last note before a longer rest, where it is soft or fades.
fn phrase_end(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let rest = silence_before(evidence, stroke)?;
    let piece = evidence.strokes()[stroke - 1].notes.end - 1;
    let end = evidence.note(piece).end().to_f64() - 1e-6;
    let fades = evidence.line.dynamics.level(end) + 0.05 < evidence.level(piece);
    if rest < Quarters::from(PHRASE_REST) || !(fades || evidence.is_soft(piece)) {
        return None;
    }
    let advice = Advice {
        topic: Topic::PhraseEnd,
        weight: Need::IfTime,
        text: "taper",
        sentence: format!("Let {} taper, and lift after it.", evidence.note_words(piece)),
        why: "The phrase ends here.",
    };
    Some(advice.over(evidence, piece, hashed(evidence.rhythm(stroke - 1))))
}
