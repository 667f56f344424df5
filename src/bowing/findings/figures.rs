//! Repeated figures that carry the bow away.
//!
//! A figure is judged over its whole repeated pattern: what balances itself over several bars is no
//! fault.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said, heard_bend},
};
use crate::bowing::{evidence::Evidence, pencil::part_words};
use crate::score::{Direction, Mark};
use std::{collections::BTreeMap, ops::Range};

/// Longest pattern looked for, strokes; an even number of strokes brings the same directions back.
/// Assumed: four bars of four strokes.
const LONGEST: usize = 16;
/// A pattern that moves less than this each time stays where it is, mm. Assumed.
const BALANCED_MM: f64 = 3.0;

/// A figure that goes on no farther than this part of the hair stays within the half of the bow it is played in.
/// Assumed.
const HAS_ROOM: f64 = 0.33;

/// Strokes shorter than this stay in their place without a thought, s; so does what comes back less often than so many
/// times for less than so much of the hair, or for less than all of it where no bow is longer than so many seconds.
/// Assumed.
const SHORT_S: f64 = 0.3;
const FEW_TIMES: usize = 6;
const FEW_HAVE_ROOM: f64 = 0.6;
const QUICK_S: f64 = 1.0;

/// The strokes one way last longer if they take so many times as long together. Assumed.
const LONGER: f64 = 1.1;

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    // Strokes of one direction and rhythm have one number.
    let mut numbers = BTreeMap::new();
    let shapes: Vec<usize> = (0..evidence.strokes().len())
        .map(|stroke| {
            let next = numbers.len();
            let shape = (evidence.strokes()[stroke].direction, evidence.rhythm(stroke));
            *numbers.entry(shape).or_insert(next)
        })
        .collect();
    let alike = |a: usize, b: usize| !evidence.strokes()[b].lift_before && shapes[a] == shapes[b];
    let mut from = 0;
    while from < shapes.len() {
        match pattern(evidence, from, &alike) {
            Some(Pattern { strokes, period, drift_mm }) => {
                from = strokes.end;
                if drift_mm.abs() > BALANCED_MM {
                    raws.extend(creep(evidence, strokes, period, drift_mm));
                }
            }
            None => from += 1,
        }
    }
}

/// A figure that comes several times in a row.
struct Pattern {
    strokes: Range<usize>,
    period: usize,
    /// Hair by which one time of it carries the bow toward the tip at the wanted speeds, mm.
    drift_mm: f64,
}

/// The pattern that starts at a stroke: a balanced one if there is one, else the shortest that is
/// repeated often enough.
fn pattern(evidence: &Evidence, from: usize, alike: &dyn Fn(usize, usize) -> bool) -> Option<Pattern> {
    let count = evidence.strokes().len();
    let mut shortest = None;
    for period in (2..=LONGEST).step_by(2) {
        let mut end = from + period;
        while end < count && alike(end - period, end) {
            end += 1;
        }
        let times = (end.min(count) - from) / period;
        let lifted = || (from + 1..from + period).any(|stroke| evidence.strokes()[stroke].lift_before);
        if times < 2 || lifted() {
            continue;
        }
        let strokes = from..from + times * period;
        let moved = |stroke: usize| evidence.strokes()[stroke].direction.sign() * evidence.wanted_mm(stroke);
        let drift_mm = strokes.clone().map(moved).sum::<f64>() / times as f64;
        let pattern = Pattern { strokes, period, drift_mm };
        if drift_mm.abs() <= BALANCED_MM {
            return Some(pattern);
        }
        if shortest.is_none() && times >= evidence.rules().creep_times.max(2) {
            shortest = Some(pattern);
        }
    }
    shortest
}

/// Several notes under one slur.
fn is_slurred(evidence: &Evidence, stroke: usize) -> bool {
    let notes = evidence.strokes()[stroke].notes.clone();
    notes.len() > 1 && evidence.note(notes.start).slur.is_some()
}

fn creep(evidence: &Evidence, strokes: Range<usize>, period: usize, drift_mm: f64) -> Option<Raw> {
    let times = strokes.len() / period;
    let total = drift_mm.abs() * times as f64;
    let first = evidence.strokes()[strokes.start].notes.start;
    let pieces = first..evidence.strokes()[strokes.end - 1].notes.end;
    let last = pieces.end - 1;
    let bent = strokes.clone().filter_map(|stroke| evidence.bend(stroke)).map(|bend| bend.max(1.0 / bend));
    let bent = bent.fold(1.0, f64::max);
    let rules = evidence.rules();
    // A player who begins at the right end has room for less.
    let has_room = total < HAS_ROOM * evidence.plan.problem.hair_mm;
    if has_room || total < rules.creep_mm || bent < rules.felt_ratio {
        return None;
    }
    let in_place = |stroke: &usize| {
        let dots = evidence.note(evidence.main_note(*stroke)).marks.contains(&Mark::Staccato);
        evidence.seconds(*stroke) < SHORT_S || dots
    };
    let quick = strokes.clone().all(|stroke| evidence.seconds(stroke) < QUICK_S);
    let room_mm = if quick { 1.0 } else { FEW_HAVE_ROOM } * evidence.plan.problem.hair_mm;
    if 2 * strokes.clone().filter(in_place).count() > strokes.len() || times < FEW_TIMES && total < room_mm {
        return None;
    }
    let slurs = strokes.clone().take(period).filter(|&stroke| is_slurred(evidence, stroke)).count();
    // What differs by accents alone is drawn alike.
    let lasting = |way| -> f64 {
        let of_way = strokes.clone().filter(|&stroke| evidence.strokes()[stroke].direction == way);
        of_way.map(|stroke| evidence.written(stroke)).sum()
    };
    let (down, up) = (lasting(Direction::Down), lasting(Direction::Up));
    if down.max(up) < LONGER * down.min(up) {
        return None;
    }
    let odd_singles = slurs == 1 && period == 2;
    let end = if drift_mm > 0.0 { "tip" } else { "frog" };
    let (kind, headline, why) = if odd_singles {
        (
            Kind::SlurParity,
            format!("every slur falls on the same bow and carries it to the {end}"),
            "Between slurs with an odd number of single notes the direction never changes: give the single note the long way back, or add one to the slur.",
        )
    } else {
        (
            Kind::Creep,
            format!("the figure creeps toward the {end}"),
            "The strokes one way last longer than those the other way; a faster, lighter short stroke, a retake or two notes in one bow keep it in place.",
        )
    };
    let said = Said {
        kind,
        verdict: Verdict::Tight,
        about: About::Amount,
        heard: heard_bend(bent),
        headline,
        what: format!(
            "Played as marked, the figure carries the bow toward the {end} each time: {} from {} to {}.",
            part_words(total / evidence.plan.problem.hair_mm.max(1.0)),
            evidence.place(first),
            evidence.place(last)
        ),
        why: why.to_owned(),
    };
    let figure: Vec<_> = strokes.clone().take(period).map(|stroke| evidence.rhythm(stroke)).collect();
    Some(evidence.raw(first, said).over(strokes).caused_by(figure))
}
