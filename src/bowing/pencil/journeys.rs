//! Crescendos and diminuendos over many bows: how the strokes change, and where the bow travels.

use super::{Advice, Draft, Need, Topic};
use crate::{
    bowing::{
        Stroke,
        evidence::{Evidence, hashed},
    },
    score::Quarters,
};

/// Fewer bows are no journey. Assumed.
pub(super) const LEAST_BOWS: usize = 4;
/// Shorter ones are over before a word about them helps, s. Assumed.
const LEAST_S: f64 = 1.5;
/// Dynamic steps from which on it is worth telling. Assumed: from p to f is three.
const WORTH: f64 = 1.4;
/// Shorter strokes are grouped in beats, s. Assumed.
const GROUPED_S: f64 = 0.3;
/// The plan travels if its places differ by so much of the hair from the first bows to the last. Assumed.
const TRAVELS: f64 = 0.08;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let mut spans: Vec<(f64, f64, f64)> = Vec::new();
    // A new dynamic in between ends one.
    let mut reached = f64::NAN;
    for (from, until, start, end) in evidence.line.dynamics.pieces(Quarters::ZERO, evidence.line.end) {
        let change = end - start;
        let goes_on = (reached - start).abs() < 0.1;
        reached = end;
        match spans.last_mut() {
            Some((_, to, sum)) if goes_on && (*to - from).abs() < 1e-6 && *sum * change > 0.0 => {
                (*to, *sum) = (until, *sum + change);
            }
            _ if change.abs() > 0.1 => spans.push((from, until, change)),
            _ => {}
        }
    }
    drafts.extend(spans.into_iter().filter_map(|span| journey(evidence, span)));
}

fn journey(evidence: &Evidence, (from, until, change): (f64, f64, f64)) -> Option<Draft> {
    let onset = |stroke: &Stroke| evidence.note(stroke.notes.start).onset.to_f64();
    let before = |at: f64| evidence.strokes().partition_point(|stroke| onset(stroke) < at - 1e-6);
    let (mut first, end) = (before(from), before(until));
    // Nobody begins anew inside a beat of fast notes.
    let inside = |stroke: &usize| {
        let off = evidence.place(evidence.main_note(*stroke)).beat.denom() != 1;
        off && evidence.seconds(*stroke) < GROUPED_S
    };
    first += (first..end).take_while(inside).count();
    let bows = end - first;
    if bows < LEAST_BOWS {
        return None;
    }
    let last = end - 1;
    let piece = evidence.main_note(first);
    let end = evidence.main_note(last);
    let seconds = evidence.bowed(end).onset_s - evidence.bowed(piece).onset_s;
    if seconds < LEAST_S || change.abs() < 0.7 {
        return None;
    }
    let middle = |pair: [usize; 2]| {
        let shares = pair.map(|stroke| {
            let (a, b) = evidence.shares(stroke);
            0.5 * (a + b)
        });
        0.5 * (shares[0] + shares[1])
    };
    let travel = middle([last - 1, last]) - middle([first, first + 1]);
    let goal = match evidence.note(end).bar {
        bar if bar == evidence.note(piece).bar => "through this bar".to_owned(),
        bar => format!("until {}", evidence.bar_words(bar)),
    };
    let grows = change > 0.0;
    let toward = if travel < 0.0 { "toward the frog" } else { "toward the tip" };
    let travels = travel.abs() >= TRAVELS && (travel < 0.0) == grows;
    let (text, sentence) = match (travels, grows) {
        (true, true) => (
            toward,
            format!("Growing {goal}: longer and heavier strokes, and a little nearer the frog with each."),
        ),
        (true, false) => (
            toward,
            format!("Fading {goal}: smaller and lighter strokes, and a little nearer the tip with each."),
        ),
        (false, true) => (
            "more and more bow",
            format!("Growing {goal}: start with little bow and give each stroke a little more."),
        ),
        (false, false) => {
            ("less and less bow", format!("Fading {goal}: give each stroke a little less bow."))
        }
    };
    let weight = if change.abs() >= WORTH { Need::Worth } else { Need::IfTime };
    let why = if grows {
        "A crescendo that starts with a full bow has nothing to grow with."
    } else {
        "Loudness is bow speed and weight: both have to go."
    };
    Some(Advice::new(Topic::Amount, weight, text, sentence, why).over(evidence, piece, hashed((text, bows))))
}
