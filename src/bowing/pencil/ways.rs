//! Directions that do not follow by themselves: where to start after a rest, and where the bow is lifted and
//! goes the same way again.

use super::{
    Advice, Draft, Need, Topic,
    ground::{Zone, a_bow},
};
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
        drafts.extend(again(evidence, stroke).or_else(|| start(evidence, stroke)));
    }
}

/// The same direction as the stroke before.
fn again(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let before = stroke.checked_sub(1)?;
    let direction = evidence.way(stroke);
    let first = evidence.first(stroke);
    let silence = evidence.silence_before(stroke)?;
    if evidence.way(before) != direction
        || !matches!(evidence.bowed(first).reached, Reached::Air(_))
        || silence > Quarters::from(LONG_REST)
    {
        return None;
    }
    let piece = evidence.main_note(stroke);
    let in_rest = silence.is_positive();
    let time = if in_rest { "Lift in the rest" } else { "Lift quickly" };
    let (text, why) = match direction {
        Direction::Down => ("down again", "A strong start is at home on a down-bow."),
        Direction::Up => ("up again", "An upbeat is at home on an up-bow."),
    };
    let zone = evidence.zone(first);
    let suits = match direction {
        Direction::Down => zone <= Zone::Middle,
        Direction::Up => zone >= Zone::Middle,
    };
    let place = if suits { format!(" and set the bow {}", zone.there()) } else { String::new() };
    let purpose = evidence.purpose(stroke);
    let why = match purpose {
        _ if evidence.note(first).bow.is_some() => "The bow mark asks for it.",
        Some(ref purpose) => purpose.why,
        None => why,
    };
    let advice = Advice::new(
        Topic::Retake,
        if in_rest { Need::Worth } else { Need::Must },
        text,
        format!(
            "{time}{place}: {} is {} again{}.",
            evidence.called(piece),
            a_bow(direction),
            purpose.map_or_else(String::new, |purpose| format!(", {}", purpose.words))
        ),
        why,
    );
    let accented = evidence.is_accented(piece);
    Some(advice.over(evidence, first, hashed((direction, accented, evidence.rhythm(stroke)))))
}

/// A start after a rest that is no downbeat, or goes up on one.
fn start(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let piece = evidence.main_note(stroke);
    let rest = evidence.silence_before(stroke);
    let long = rest.is_none_or(|rest| rest >= Quarters::new(CHOICE.0, CHOICE.1));
    let direction = evidence.way(stroke);
    let plain = evidence.is_first_beat(piece) && direction == Direction::Down;
    if !long || plain || !evidence.plan.piece(piece).moves() {
        return None;
    }
    let purpose = evidence.purpose(stroke);
    let text = if direction == Direction::Up { "start up" } else { "start down" };
    let why = match (direction, &purpose) {
        (_, Some(purpose)) => purpose.why,
        (Direction::Up, None) if !evidence.is_loud(piece) => "A light start is at home on an up-bow.",
        (_, None) => "So the strokes that follow come out right.",
    };
    let aimed = purpose.is_some();
    let purpose = purpose.map_or_else(String::new, |purpose| format!(", {}", purpose.words));
    let advice = Advice::new(
        Topic::Way,
        Need::Worth,
        text,
        format!(
            "Begin {} with {}, {}{purpose}.",
            evidence.called(piece),
            a_bow(direction),
            evidence.zone(piece).there()
        ),
        why,
    );
    Some(advice.over(evidence, piece, hashed((direction, evidence.rhythm(stroke), aimed))))
}
