//! Several notes in one bow with a stop or a pulse between: hooked, and stops inside slurs.

use super::{Advice, Draft, Need, Topic, places::is_pulsed};
use crate::{
    bowing::{
        Reached,
        evidence::{Evidence, hashed},
    },
    score::{Direction, Mark, Quarters, SameBow},
};

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for stroke in 0..evidence.strokes().len() {
        let mut told = false;
        for piece in evidence.strokes()[stroke].notes.clone().skip(1) {
            if !told
                && !evidence.is_accented(piece)
                && let Some(draft) = stop(evidence, stroke, piece)
            {
                drafts.push(draft);
                told = true;
            }
        }
    }
}

/// A note that goes on in the bow of the one before it, but not smoothly.
fn stop(evidence: &Evidence, stroke: usize, piece: usize) -> Option<Draft> {
    let (note, before) = (evidence.note(piece), evidence.note(piece - 1));
    let joined = evidence.bowed(piece).reached == Reached::SameStroke;
    if !joined || note.grace.is_some() || before.grace.is_some() {
        return None;
    }
    if evidence.bowing.is_stopped(evidence.line, piece) {
        // A portato is one stroke, told by its place.
        let draft = || hooked(evidence, stroke, piece).over(evidence, piece, hashed(evidence.rhythm(stroke)));
        return (note.same_bow != Some(SameBow::Portato)).then(draft);
    }
    let (called, bow) = (evidence.called(piece), evidence.way(stroke).bow_word());
    let pulsed = is_pulsed(evidence, piece);
    let plain_before = !is_pulsed(evidence, piece - 1);
    let ends = piece == evidence.last_note(stroke) && note.duration < before.duration;
    // Before a rest the dot says that the note is short.
    let next = (stroke + 1 < evidence.strokes().len()).then_some(stroke + 1);
    let leaves = next.and_then(|next| evidence.silence_before(next)).is_none_or(Quarters::is_positive);
    let line = note.marks.contains(&Mark::Tenuto) && !note.marks.contains(&Mark::Staccato);
    let (text, sentence, why) = if note.onset > before.end() {
        (
            "stop in the bow",
            format!("Stop the bow in the rest before {called} and go on in the same {bow}."),
            "The slur runs over the rest: it is one bow.",
        )
    } else if note.midi() == before.midi() && !pulsed && plain_before && evidence.main_notes(stroke) > 2 {
        (
            "again, same bow",
            format!(
                "Let {called} speak again in the same {bow}: ease the weight for a moment between the two."
            ),
            "One slur holds the same note twice; without a small stop it is heard as one.",
        )
    } else if pulsed && plain_before && ends && line {
        (
            "lean anew, same bow",
            format!("Lean on {called} anew, while the {bow} goes on without a stop."),
            "The line under the slur asks for weight, not for a stop.",
        )
    } else if pulsed && plain_before && ends && !leaves {
        (
            "stop, same bow",
            format!(
                "A small stop before {called}, then the little note in the same {bow}, with hardly any bow."
            ),
            "The dot under the slur asks for a stop, not for a new bow.",
        )
    } else {
        return None;
    };
    // Where a slur runs over a rest each figure is one of its own.
    let figure = hashed((text, (note.onset > before.end()).then(|| evidence.rhythm(stroke))));
    Some(Advice::new(Topic::Hooked, Need::Worth, text, sentence, why).over(evidence, piece, figure))
}

/// Two separate notes in one direction: printed, or chosen so that what follows comes out right.
fn hooked(evidence: &Evidence, stroke: usize, piece: usize) -> Advice {
    let direction = evidence.way(stroke);
    let printed = evidence.note(piece).same_bow.is_some() || evidence.note(piece).bow.is_some();
    let purpose = evidence.purpose(stroke);
    let why = match &purpose {
        Some(purpose) => purpose.why,
        None if printed => "It is marked so.",
        None => "So the bow comes out right for what follows.",
    };
    let text = if direction == Direction::Up { "two ups" } else { "two downs" };
    let purpose = purpose.map_or_else(String::new, |purpose| format!(", {}", purpose.words));
    let (bow, called) = (direction.bow_word(), evidence.called(piece));
    let dotted = |piece: usize| evidence.note(piece).is_dotted();
    let sentence = if dotted(piece) || dotted(piece - 1) {
        format!("Stop the {bow} and go on in the same bow for {called}{purpose}.")
    } else {
        format!("Go on in the same {bow} for {called}, hardly separated{purpose}.")
    };
    Advice::new(Topic::Hooked, if printed { Need::IfTime } else { Need::Worth }, text, sentence, why)
}
