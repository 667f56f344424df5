//! Strings passed over, slurred leaps to another string, and figures that go to and fro between two.

use super::{Advice, Draft, Need, Topic};
use crate::{
    arm::{Crossing, Plane},
    bowing::evidence::{Evidence, hashed},
    score::count_words,
};

/// A leap of so many half steps to the next string in one bow is worth a word if time allows, and from a seventh on
/// in any case. Assumed.
const LEAP: f64 = 9.0;
const WIDE_LEAP: f64 = 10.0;
/// A string passed over between separate notes is worth a word where there is less time than this, s.
/// Assumed.
const SOON_S: f64 = 0.3;
/// A rest of so many seconds gives time to set the bow on another string. Assumed.
const REST_S: f64 = 0.2;
/// A figure to and fro is worth a word if it crosses so often, this long after one another, s. Assumed.
const TO_AND_FRO: usize = 4;
const QUICK_S: f64 = 0.5;
/// The strings come in turn if so much of the steps from note to note crosses. Assumed.
const IN_TURN: f64 = 0.75;
/// A bow over three strings or more takes at most so long to be worth a word, s. Assumed.
const SWEEP_S: f64 = 1.5;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for stroke in 0..evidence.strokes().len() {
        drafts.extend(sweep(evidence, stroke));
    }
    // Where the arm stays between two strings it does not lead.
    let mut between: Vec<(usize, usize)> = Vec::new();
    for figure in &evidence.arm_path.alternations {
        let (first, last) = figure.notes;
        let single = |plane| matches!(plane, Plane::String(_));
        let seconds = evidence.bowed(last).onset_s - evidence.bowed(first).onset_s;
        let crossings = &evidence.arm_path.crossings;
        let until = |piece: usize| crossings.partition_point(|crossing| crossing.into <= piece);
        let crossed = until(last) - until(first);
        if crossed < TO_AND_FRO
            || (crossed as f64) < IN_TURN * (last - first) as f64
            || seconds > QUICK_S * crossed as f64
            || (first + 1..=last).any(|piece| evidence.silent_s(piece) >= REST_S)
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
        between.push(figure.notes);
    }
    for crossing in &evidence.arm_path.crossings {
        if !between.iter().any(|(first, last)| (*first..=*last).contains(&crossing.into)) {
            drafts.extend(leap(evidence, crossing));
        }
    }
}

/// A bow that goes over three strings or more in one way.
fn sweep(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let notes = &evidence.strokes()[stroke].notes;
    let crossings = &evidence.arm_path.crossings;
    let from = crossings.partition_point(|crossing| crossing.into <= notes.start);
    let until = crossings.partition_point(|crossing| crossing.into < notes.end);
    let lower = |plane: Plane| match plane {
        Plane::String(n) | Plane::Pair(n) => i32::from(n),
    };
    let turn = |crossing: &Crossing| (lower(crossing.to) - lower(crossing.from)).signum();
    let run = crossings[from..until].chunk_by(|a, b| turn(a) == turn(b)).max_by_key(|run| run.len())?;
    let (first, last) = (run.first()?, run.last()?);
    let strings = (lower(last.to) - lower(first.from)).unsigned_abs() as usize + 1;
    let seconds = evidence.bowed(last.into).onset_s - evidence.bowed(first.into - 1).onset_s;
    if strings < 3 || run.len() < 2 || seconds > SWEEP_S {
        return None;
    }
    let piece = first.into - 1;
    let advice = Advice::new(
        Topic::Crossing,
        Need::IfTime,
        "arm leads",
        format!(
            "One bow over {} strings, from {} to {}: the arm moves evenly all the time, and a little ahead of the notes.",
            count_words(strings),
            string_words(evidence, first.from),
            string_words(evidence, last.to)
        ),
        "An arm that waits for each string makes a bump at each.",
    );
    Some(advice.over(evidence, piece, hashed(("sweep", turn(first), evidence.rhythm(stroke)))))
}

fn leap(evidence: &Evidence, crossing: &Crossing) -> Option<Draft> {
    let piece = crossing.into;
    let before = piece.checked_sub(1)?;
    let (note, from) = (evidence.note(piece), evidence.note(before));
    if note.grace.is_some() || from.grace.is_some() || evidence.plan.unplanned[piece] {
        return None;
    }
    // Between double stops the nearest notes tell how far it is.
    let steps = from.midi().into_iter().flat_map(|from| note.midi().into_iter().map(move |to| to - from));
    let way = steps.min_by(|a, b| a.abs().total_cmp(&b.abs())).unwrap_or_default();
    // In a rest the bow is set on the other string, and an accent there is leant into, not lightened.
    if evidence.silent_s(piece) >= REST_S || crossing.skipped == 0 && evidence.is_accented(piece) {
        return None;
    }
    let soon = evidence.bowed(piece).onset_s - evidence.bowed(before).onset_s < SOON_S;
    let skips = crossing.skipped > 0;
    let loud = evidence.is_loud(before) || evidence.is_accented(before);
    let weight = match (skips, crossing.in_one_bow) {
        (true, true) if loud => Need::Must,
        (true, true) => Need::Worth,
        (true, false) if soon || evidence.is_sharp(piece) => Need::Worth,
        (false, true) if way.abs() >= WIDE_LEAP => Need::Worth,
        (false, true) if way.abs() >= LEAP => Need::IfTime,
        _ => return None,
    };
    let (to, called) = (string_words(evidence, crossing.to), evidence.called(piece));
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
    Some(advice.over(evidence, before, hashed((skips, crossing.in_one_bow, rhythm))))
}

/// "the A string", "the D and A strings".
fn string_words(evidence: &Evidence, plane: Plane) -> String {
    match evidence.arm_path.fan.level(plane).name.split_once('+') {
        Some((upper, lower)) => format!("the {upper} and {lower} strings"),
        None => format!("the {} string", evidence.arm_path.fan.level(plane).name),
    }
}
