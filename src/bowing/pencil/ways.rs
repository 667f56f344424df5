//! Directions that do not follow by themselves: where to start, what is hooked, where the bow is lifted
//! and goes the same way again.

use super::{Advice, Draft, Need, Topic, main_note, silence_before};
use crate::{
    bowing::{
        Reached,
        evidence::{Evidence, hashed},
    },
    score::{Direction, Quarters},
};

/// A rest this long lets a player choose how to start, quarters. Assumed.
const CHOICE: (i64, i64) = (1, 2);
/// After a rest longer than this the same direction is no retake any more but a new start, quarters.
/// Assumed.
const LONG_REST: i64 = 4;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for stroke in 0..evidence.strokes().len() {
        let draft = again(evidence, stroke).or_else(|| start(evidence, stroke));
        drafts.extend(draft);
        for piece in evidence.strokes()[stroke].notes.clone().skip(1) {
            drafts.extend(hooked(evidence, stroke, piece));
        }
    }
}

/// The same direction as the stroke before.
fn again(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let before = stroke.checked_sub(1)?;
    let strokes = evidence.strokes();
    let direction = strokes[stroke].direction;
    let first = evidence.first(stroke);
    let silence = silence_before(evidence, stroke)?;
    if strokes[before].direction != direction
        || !matches!(evidence.bowed(first).reached, Reached::Air(_))
        || silence > Quarters::from(LONG_REST)
    {
        return None;
    }
    let printed = evidence.note(first).bow.is_some();
    let weight = if silence.is_positive() { Need::Worth } else { Need::Must };
    let end = if direction == Direction::Down { "frog" } else { "upper half" };
    let time = if silence.is_positive() { "Use the rest to lift" } else { "Lift quickly" };
    let advice = Advice {
        topic: Topic::Retake,
        weight,
        text: if direction == Direction::Down { "down again" } else { "up again" },
        sentence: format!("{time} and come back to the {end}: {} again.", direction.bow_word()),
        why: if printed {
            "The bow mark asks for it."
        } else {
            "So the strong notes that follow come on down-bows."
        },
    };
    Some(advice.over(evidence, first, hashed((direction, evidence.rhythm(before), evidence.rhythm(stroke)))))
}

/// A start after a rest that is no downbeat, or goes up on one.
fn start(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let piece = main_note(evidence, stroke);
    let note = evidence.note(piece);
    let rest = silence_before(evidence, stroke);
    let long = rest.is_none_or(|rest| rest >= Quarters::new(CHOICE.0, CHOICE.1));
    let direction = evidence.strokes()[stroke].direction;
    let down_on_the_beat = evidence.lesson.score.starts_bar(note) && direction == Direction::Down;
    if !long || down_on_the_beat || !evidence.plan.piece(piece).moves() {
        return None;
    }
    let next = evidence.strokes().get(stroke + 1).map(|next| next.notes.start);
    let lands = next.filter(|&next| evidence.lesson.score.starts_bar(evidence.note(next)));
    let why = match lands {
        Some(_) if direction == Direction::Up => "So the strong beat after it is a down-bow.",
        _ => "So what follows comes out right.",
    };
    let advice = Advice {
        topic: Topic::Way,
        weight: Need::Worth,
        text: if direction == Direction::Up { "start up" } else { "start down" },
        sentence: format!(
            "Begin with {} on {}.",
            if direction == Direction::Up { "an up-bow" } else { "a down-bow" },
            evidence.note_words(piece)
        ),
        why,
    };
    Some(advice.over(evidence, piece, hashed((direction, evidence.rhythm(stroke), lands.is_some()))))
}

/// A note in the bow of the one before it after a stop, by no slur and no hook of the user's own.
fn hooked(evidence: &Evidence, stroke: usize, piece: usize) -> Option<Draft> {
    let note = evidence.note(piece);
    if !evidence.bowing.is_stopped(evidence.line, piece) || note.same_bow.is_some() {
        return None;
    }
    let direction = evidence.strokes()[stroke].direction;
    let advice = Advice {
        topic: Topic::Hooked,
        weight: Need::Worth,
        text: if direction == Direction::Up { "two ups" } else { "two downs" },
        sentence: format!(
            "Take {} in the same {}, after a stop.",
            evidence.note_words(piece),
            direction.bow_word()
        ),
        why: "So the strong notes that follow come on down-bows.",
    };
    Some(advice.over(evidence, piece, hashed(evidence.rhythm(stroke))))
}
