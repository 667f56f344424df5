//! Directions that do not follow by themselves: where to start after a rest, and where the bow is lifted and
//! goes the same way again.

use std::collections::BTreeMap;

use super::{
    Advice, Draft, Need, Topic, Zone,
    ground::a_bow,
    sudden::{self, Change},
};
use crate::{
    bowing::{
        Reached,
        directions::HASTY_S,
        evidence::{Evidence, hashed},
    },
    score::{Direction, Quarters, count_words},
};

/// A rest this long lets a player choose how to start, quarters. Assumed.
const CHOICE: (i64, i64) = (1, 2);
/// After a rest longer than this the same direction is no retake any more but a new start, and going on in turn is a
/// choice, quarters. Assumed.
const LONG_REST: i64 = 4;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let mut changes: BTreeMap<usize, Change> = BTreeMap::new();
    for change in sudden::changes(evidence) {
        match change.stroke(evidence) {
            Some(stroke) => drop(changes.insert(stroke, change)),
            None => drafts.extend(change.draft(evidence)),
        }
    }
    for stroke in 0..evidence.strokes().len() {
        let change = changes.get(&stroke);
        let way = again(evidence, stroke, change).or_else(|| start(evidence, stroke, change));
        // How loud it starts is said with the direction.
        let told = way.as_ref().is_some_and(|draft| draft.mark.also.is_some());
        drafts.extend(way);
        if let Some(change) = change.filter(|_| !told) {
            drafts.extend(change.draft(evidence));
        }
    }
}

/// A stroke goes the same way as the one before it, after a lift and no long rest: the silence before it.
fn lifted(evidence: &Evidence, stroke: usize) -> Option<Quarters> {
    let before = stroke.checked_sub(1)?;
    let silence = evidence.silence_before(stroke)?;
    let through_air = matches!(evidence.bowed(evidence.first(stroke)).reached, Reached::Air(_));
    let same = evidence.way(before) == evidence.way(stroke);
    let goes_on = evidence.same_section(evidence.first(before), evidence.first(stroke));
    (same && goes_on && through_air && silence <= Quarters::from(LONG_REST)).then_some(silence)
}

/// The same direction as the stroke before; of a row of them the first is marked.
fn again(evidence: &Evidence, stroke: usize, change: Option<&Change>) -> Option<Draft> {
    let silence = lifted(evidence, stroke)?;
    let direction = evidence.way(stroke);
    let first = evidence.first(stroke);
    let piece = evidence.main_note(stroke);
    let row =
        (stroke + 1..evidence.strokes().len()).take_while(|&next| lifted(evidence, next).is_some()).count();
    if lifted(evidence, stroke - 1).is_some() {
        return None;
    }
    let in_rest = silence.is_positive();
    let firm = evidence.is_accented(piece) || evidence.note(piece).notes.len() > 2;
    if in_rest && evidence.silent_s(first) < HASTY_S && !firm && row == 0 {
        return Some(stopped(evidence, stroke));
    }
    let time = if in_rest { "Lift in the rest" } else { "Lift quickly" };
    let (again, all) = match direction {
        Direction::Down => ("down again", "all down"),
        Direction::Up => ("up again", "all up"),
    };
    let zone = evidence.zone(first);
    let suits = match direction {
        Direction::Down => zone <= Zone::Middle && !(zone == Zone::Frog && evidence.is_soft(piece)),
        Direction::Up => zone >= Zone::Middle,
    };
    let place = if suits { format!(" and set the bow {}", zone.there()) } else { String::new() };
    let purpose = evidence.purpose(stroke);
    let on_barline = evidence.is_first_beat(piece) && !evidence.is_soft(piece);
    let strong = on_barline || evidence.is_loud(piece) || evidence.is_accented(piece);
    let why = match (&purpose, direction) {
        _ if evidence.note(first).bow.is_some() => "The bow mark asks for it.",
        (Some(purpose), _) => purpose.why,
        (None, Direction::Down) if strong => "A strong start is easiest on a down-bow.",
        _ => plain_why(evidence, stroke),
    };
    let called = evidence.called(piece);
    let change = change.filter(|_| row == 0);
    let sentence = match row {
        0 => format!(
            "{time}{place}: {called} is {} again{}{}.",
            a_bow(direction),
            change.map_or_else(String::new, Change::with_its_bow),
            purpose.map_or_else(String::new, |purpose| format!(", {}", purpose.words))
        ),
        1 => format!("{time}{place}: {called} is {} again, and so is the next note.", a_bow(direction)),
        _ => format!(
            "{time}{place}: {called} is {} again, and so are the next {}, each after a lift.",
            a_bow(direction),
            count_words(row)
        ),
    };
    let weight = match silence {
        none if !none.is_positive() => Need::Must,
        short if short <= Quarters::ONE => Need::Worth,
        _ => Need::IfTime,
    };
    let text = if row > 1 { all } else { again };
    let figure =
        hashed((direction, evidence.is_accented(piece), evidence.rhythm(stroke), change.map(Change::key)));
    let advice = Advice::new(Topic::Retake, weight, text, sentence, why);
    Some(advice.with(change).over(evidence, first, figure))
}

/// The same direction after a rest that is too short for a lift: the bow stops in it, on the string.
fn stopped(evidence: &Evidence, stroke: usize) -> Draft {
    let (piece, bow) = (evidence.main_note(stroke), evidence.way(stroke).bow_word());
    let purpose = evidence.purpose(stroke);
    let why = purpose.as_ref().map_or("So short a rest gives no time to lift.", |purpose| purpose.why);
    let purpose = purpose.map_or_else(String::new, |purpose| format!(", {}", purpose.words));
    let advice = Advice::new(
        Topic::Hooked,
        Need::Worth,
        if evidence.way(stroke) == Direction::Up { "two ups" } else { "two downs" },
        format!(
            "Stop on the string in the short rest and go on in the same {bow} for {}{purpose}.",
            evidence.called(piece)
        ),
        why,
    );
    advice.over(evidence, evidence.first(stroke), hashed(("stopped", evidence.rhythm(stroke))))
}

/// A start after a rest that is no downbeat, or goes up on one.
fn start(evidence: &Evidence, stroke: usize, change: Option<&Change>) -> Option<Draft> {
    let piece = evidence.main_note(stroke);
    let rest = evidence.silence_before(stroke);
    let long = rest.is_none_or(|rest| rest >= Quarters::new(CHOICE.0, CHOICE.1));
    let direction = evidence.way(stroke);
    let plain = evidence.is_first_beat(piece) && direction == Direction::Down;
    // What is printed there is read there.
    let printed = evidence.note(evidence.first(stroke)).bow.is_some();
    // One of a row of starts in one way is told with the first of them.
    let told = lifted(evidence, stroke).is_some();
    if printed || told || !long || plain || !evidence.plan.piece(piece).moves() {
        return None;
    }
    let purpose = evidence.purpose(stroke);
    // What comes as it would without the rest is worth a word only for its weight.
    let weighty =
        evidence.is_accented(piece) || evidence.is_loud(piece) || evidence.note(piece).notes.len() > 2;
    let brief = rest.is_some_and(|rest| rest <= Quarters::from(LONG_REST));
    if purpose.is_none() && brief && !weighty && in_turn(evidence, stroke) {
        return None;
    }
    // In turn after a short rest it comes as it would, and a barline alone is hardly a reason to say so.
    let expected = !weighty
        && change.is_none()
        && in_turn(evidence, stroke)
        && rest.is_some_and(|rest| rest <= Quarters::ONE)
        && purpose.as_ref().is_some_and(|purpose| purpose.is_plain);
    let text = if direction == Direction::Up { "start up" } else { "start down" };
    let why = match (direction, &purpose) {
        (_, Some(purpose)) => purpose.why,
        (_, None) => plain_why(evidence, stroke),
    };
    let aimed = purpose.is_some();
    // What has no other reason than that it comes so is worth no more.
    let by_itself = change.is_none() && (why == IN_TURN || !aimed && brief && in_turn(evidence, stroke));
    let purpose = purpose.map_or_else(String::new, |purpose| format!(", {}", purpose.words));
    let advice = Advice::new(
        Topic::Way,
        if expected || by_itself { Need::IfTime } else { Need::Worth },
        text,
        format!(
            "Begin {} with {}, {}{}{purpose}.",
            evidence.called(piece),
            a_bow(direction),
            evidence.zone(piece).there(),
            change.map_or_else(String::new, Change::with_its_bow)
        ),
        why,
    );
    Some(advice.with(change).over(
        evidence,
        piece,
        hashed((direction, evidence.rhythm(stroke), aimed, change.map(Change::key))),
    ))
}

/// It goes the other way than the stroke before it.
fn in_turn(evidence: &Evidence, stroke: usize) -> bool {
    stroke.checked_sub(1).is_some_and(|before| evidence.way(before) != evidence.way(stroke))
}

/// The reason of what needs none.
const IN_TURN: &str = "The bow goes on in turn.";

/// The reason for a direction that nothing behind it asks for.
fn plain_why(evidence: &Evidence, stroke: usize) -> &'static str {
    let piece = evidence.main_note(stroke);
    let on_beat = evidence.place(piece).beat.denom() == 1;
    match evidence.way(stroke) {
        Direction::Up if !on_beat => "Off the beat an up-bow leaves the heavier bow for the beat.",
        Direction::Down if on_beat && !evidence.is_soft(piece) => "A down-bow gives the beat its weight.",
        _ if in_turn(evidence, stroke) => IN_TURN,
        Direction::Up if !evidence.is_loud(piece) => "A light start is easiest on an up-bow.",
        Direction::Up => "One grows toward the frog.",
        Direction::Down => "The same way again makes the starts alike.",
    }
}
