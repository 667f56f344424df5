//! Strings passed over, slurred leaps to another string, and figures that go to and fro between two.

use super::{Advice, Draft, Need, Topic};
use crate::{
    arm::{Crossing, Plane},
    bowing::{
        Reached,
        evidence::{Evidence, hashed},
    },
};

/// A leap of so many half steps to another string in one bow is worth a word. Assumed: a sixth.
const LEAP: f64 = 9.0;
/// A string passed over between separate notes is worth a word where there is less time than this, s.
/// Assumed.
const SOON_S: f64 = 0.3;
/// A figure to and fro over so many notes is worth a word, slurred or faster than this, s. Assumed.
const TO_AND_FRO: usize = 6;
const QUICK_S: f64 = 0.2;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for crossing in &evidence.arm_path.crossings {
        drafts.extend(leap(evidence, crossing));
    }
    for figure in &evidence.arm_path.alternations {
        let (first, last) = figure.notes;
        let single = |plane| matches!(plane, Plane::String(_));
        let slurred = (first + 1..=last).all(|piece| evidence.bowed(piece).reached == Reached::SameStroke);
        let seconds = evidence.bowed(last).onset_s - evidence.bowed(first).onset_s;
        let notes = last + 1 - first;
        let quick = seconds / notes as f64 <= QUICK_S;
        let crossings = &evidence.arm_path.crossings;
        let until = |piece: usize| crossings.partition_point(|crossing| crossing.into <= piece);
        let crossed = until(last) - until(first);
        let in_turn = crossed + 2 >= notes;
        if notes < TO_AND_FRO
            || !in_turn
            || !(slurred || quick)
            || !single(figure.planes.0)
            || !single(figure.planes.1)
        {
            continue;
        }
        let name = |plane| evidence.arm_path.fan.level(plane).name.as_str();
        let (a, b) = (name(figure.planes.0), name(figure.planes.1));
        let advice = Advice::new(
            Topic::Crossing,
            Need::Worth,
            "arm between",
            format!(
                "{a} and {b} string in turn: the arm stays on the level between them, only the hand crosses."
            ),
            "An arm that goes along with every note is late and bumps.",
        );
        drafts.push(advice.over(evidence, first, hashed(("to and fro", &a, &b))));
    }
}

fn leap(evidence: &Evidence, crossing: &Crossing) -> Option<Draft> {
    let piece = crossing.into;
    let before = piece.checked_sub(1)?;
    let (note, from) = (evidence.note(piece), evidence.note(before));
    if note.grace.is_some() || from.grace.is_some() || evidence.plan.unplanned[piece] {
        return None;
    }
    let top = |midi: Vec<f64>| midi.last().copied().unwrap_or_default();
    let way = top(note.midi()) - top(from.midi());
    let soon = evidence.bowed(piece).onset_s - evidence.bowed(before).onset_s < SOON_S;
    let skips = crossing.skipped > 0;
    let loud = evidence.is_loud(before) || evidence.is_accented(before);
    let weight = match (skips, crossing.in_one_bow) {
        (true, true) if loud => Need::Must,
        (true, true) => Need::Worth,
        (true, false) if soon || evidence.is_sharp(piece) => Need::Worth,
        (false, true) if way.abs() >= LEAP => Need::Worth,
        _ => return None,
    };
    let string = |plane: Plane| match evidence.arm_path.fan.level(plane).name.split_once('+') {
        Some((upper, lower)) => format!("the {upper} and {lower} strings"),
        None => format!("the {} string", evidence.arm_path.fan.level(plane).name),
    };
    let (to, called) = (string(crossing.to), evidence.called(piece));
    let advice = if skips {
        Advice::new(
            Topic::Crossing,
            weight,
            "arm early",
            format!(
                "Over a string to {called} on {to}: the arm starts during {}, with little bow there.",
                evidence.called(before)
            ),
            "The string between must not sound.",
        )
    } else {
        let side = if way < 0.0 { "down" } else { "up" };
        Advice::new(
            Topic::Crossing,
            weight,
            "lighten over leap",
            format!("Slurred leap {side} to {called} on {to}: lighten just before it and let the arm lead."),
            "The crossing inside the slur must not make an accent.",
        )
    };
    let rhythm = evidence.rhythm(evidence.bowing.stroke_of(piece));
    Some(advice.over(evidence, before, hashed((skips, crossing.in_one_bow, way > 0.0, rhythm))))
}
