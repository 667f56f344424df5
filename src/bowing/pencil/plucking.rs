//! From the bow to the fingers that pluck, and back, where there is little time.

use super::{Advice, Draft, Need, Topic, ground::a_bow};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::Direction,
};

/// A change with more time than this needs no word, s, to the bow and to the finger, which only has to open.
/// Assumed.
const SOON_S: f64 = 1.6;
const FINGER_SOON_S: f64 = 0.6;
/// With less it must be told, s. Assumed: the hand closes or opens within it.
const AT_ONCE_S: f64 = 0.35;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let notes = &evidence.line.notes;
    let seconds = |at| evidence.line.tempo.seconds(at) / evidence.lesson.setup.tempo_share;
    for piece in 0..evidence.bowing.notes.len() {
        let note = evidence.bowed(piece).note;
        if !evidence.same_section(piece, piece.saturating_sub(1)) {
            continue;
        }
        if let Some(plucked) = note.checked_sub(1).map(|before| &notes[before])
            && plucked.pizzicato
            && let time_s = seconds(notes[note].onset) - seconds(plucked.onset)
            && time_s < SOON_S
        {
            drafts.push(to_the_bow(evidence, piece, time_s));
        }
        if let Some(plucked) = notes.get(note + 1)
            && plucked.pizzicato
            && let time_s = seconds(plucked.onset) - seconds(notes[note].end())
            && time_s < FINGER_SOON_S
        {
            drafts.push(to_the_string(evidence, piece, time_s));
        }
    }
}

fn weight(time_s: f64) -> Need {
    if time_s < AT_ONCE_S { Need::Must } else { Need::Worth }
}

fn to_the_bow(evidence: &Evidence, piece: usize, time_s: f64) -> Draft {
    let stroke = evidence.bowing.stroke_of(piece);
    let advice = Advice::new(
        Topic::Plucking,
        weight(time_s),
        "bow ready",
        format!(
            "Pluck with the bow held ready: {} follows at once, {}, {}.",
            evidence.called(piece),
            a_bow(evidence.way(stroke)),
            evidence.zone(piece).there()
        ),
        "There is hardly time to take up the bow again.",
    );
    advice.over(evidence, piece, hashed("to the bow"))
}

fn to_the_string(evidence: &Evidence, piece: usize, time_s: f64) -> Draft {
    let stroke = evidence.bowing.stroke_of(piece);
    let (start, end) = evidence.plan.places_mm(piece);
    let near = evidence.way(stroke) == Direction::Up && end < start;
    let (how, why) = if near {
        (
            "end the bow near the frog and pluck from there",
            "Near the frog the plucking finger is at the string already.",
        )
    } else {
        (
            "let the finger find its string while the bow still sounds",
            "There is hardly time to change the hand.",
        )
    };
    let advice = Advice::new(
        Topic::Plucking,
        weight(time_s),
        "finger ready",
        format!("The plucked note comes at once after {}: {how}.", evidence.called(piece)),
        why,
    );
    advice.over(evidence, piece, hashed("to the string"))
}
