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

/// A crescendo or diminuendo, through all signs that carry it on.
#[derive(Clone, Copy, Debug)]
pub(super) struct Course {
    /// Where it begins and ends, quarters.
    pub from: f64,
    pub until: f64,
    /// By how many dynamic steps the level changes, down below zero.
    pub change: f64,
}

impl Course {
    /// All of a line, in its order.
    pub fn all(evidence: &Evidence) -> Vec<Self> {
        let mut courses: Vec<Self> = Vec::new();
        // A new dynamic in between ends one.
        let mut reached = f64::NAN;
        for (from, until, start, end) in evidence.line.dynamics.pieces(Quarters::ZERO, evidence.line.end) {
            let change = end - start;
            let goes_on = (reached - start).abs() < 0.1;
            reached = end;
            match courses.last_mut() {
                Some(last) if goes_on && (last.until - from).abs() < 1e-6 && last.change * change > 0.0 => {
                    (last.until, last.change) = (until, last.change + change);
                }
                _ if change.abs() > 0.1 => courses.push(Self { from, until, change }),
                _ => {}
            }
        }
        courses
    }

    /// How many bows begin before a moment.
    pub fn bows_before(evidence: &Evidence, at: f64) -> usize {
        let onset = |stroke: &Stroke| evidence.note(stroke.notes.start).onset.to_f64();
        evidence.strokes().partition_point(|stroke| onset(stroke) < at - 1e-6)
    }
}

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    drafts.extend(Course::all(evidence).into_iter().filter_map(|course| journey(evidence, course)));
}

fn journey(evidence: &Evidence, Course { from, until, change }: Course) -> Option<Draft> {
    let (mut first, end) = (Course::bows_before(evidence, from), Course::bows_before(evidence, until));
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
