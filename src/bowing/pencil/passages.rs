//! The half of the bow for a passage: told where one stroke goes on, soft or loud, and the plan stays in that half.

use std::ops::Range;

use super::{Advice, Draft, Need, Topic};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::{Quarters, StrokeType},
};

/// A passage lasts so many seconds and so many bows. Assumed.
const LASTS_S: f64 = 3.0;
const LEAST_BOWS: usize = 4;
/// A passage stays in a half of the bow if so much of its time, and of its first bows, is spent there. Assumed.
const MOSTLY: f64 = 0.75;
/// A stroke of more than this part of the hair does not stay in a half of it. Assumed.
const STAYS: f64 = 0.5;
/// Shorter strokes are not broad, s. Assumed.
const BROAD_S: f64 = 0.25;
/// The figure of a passage comes back after at most so many bows. Assumed.
const FIGURE_BOWS: usize = 2;

/// How loud a passage is.
#[derive(Clone, Copy, PartialEq, Eq, Hash)]
enum Loudness {
    Soft,
    Loud,
}

impl Loudness {
    fn of(evidence: &Evidence, stroke: usize) -> Option<Self> {
        let piece = evidence.main_note(stroke);
        let soft = evidence.is_soft(piece).then_some(Self::Soft);
        soft.or_else(|| evidence.is_loud(piece).then_some(Self::Loud))
    }
}

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let strokes = evidence.strokes().len();
    let mut first = 0;
    while first < strokes {
        let end = (first + 1..strokes).find(|&next| !goes_on(evidence, first, next)).unwrap_or(strokes);
        drafts.extend(passage(evidence, first..end));
        first = end;
    }
}

/// The passage that began with one stroke has another in it: as loud, with no long rest before it, and bowed as
/// one of the last few.
fn goes_on(evidence: &Evidence, first: usize, next: usize) -> bool {
    let like = |before: usize| texture(evidence, before) == texture(evidence, next);
    let mut near = next.saturating_sub(FIGURE_BOWS).max(first)..next;
    // The second bow may be another one than the first: it shows the figure.
    let figure = next - first < FIGURE_BOWS || near.any(like);
    let accent = evidence.is_sharp(evidence.main_note(next));
    !accent
        && Loudness::of(evidence, next) == Loudness::of(evidence, first)
        && figure
        && evidence.same_section(evidence.first(first), evidence.first(next))
        && evidence.silence_before(next).is_none_or(|rest| rest <= Quarters::ONE)
}

fn passage(evidence: &Evidence, mut strokes: Range<usize>) -> Option<Draft> {
    let loudness = Loudness::of(evidence, strokes.start)?;
    // A long bow at its head is told by others; an accented note there is not light.
    let stays = |stroke: &usize| {
        evidence.used_mm(*stroke) <= STAYS * evidence.plan.problem.hair_mm
            && !(loudness == Loudness::Soft && evidence.is_sharp(evidence.main_note(*stroke)))
    };
    let on_beat = |stroke: &usize| evidence.place(evidence.main_note(*stroke)).beat.denom() == 1;
    // What a rest cuts off begins nothing.
    let goes_on = |stroke: &usize| {
        stroke + 1 < strokes.end && !evidence.silence_before(stroke + 1).is_some_and(Quarters::is_positive)
    };
    strokes.start = strokes.clone().find(|stroke| stays(stroke) && on_beat(stroke) && goes_on(stroke))?;
    let seconds = |strokes: Range<usize>| -> f64 { strokes.map(|stroke| evidence.seconds(stroke)).sum() };
    let kept = |strokes: Range<usize>| {
        let upper = |stroke| evidence.seconds(stroke) * upper_part(evidence, stroke);
        let share = strokes.clone().map(upper).sum::<f64>() / seconds(strokes);
        MOSTLY <= if loudness == Loudness::Soft { share } else { 1.0 - share }
    };
    let begin = strokes.start..strokes.end.min(strokes.start + LEAST_BOWS);
    let short =
        strokes.clone().filter(|&stroke| evidence.seconds(stroke) < BROAD_S).count() * 2 > strokes.len();
    if strokes.len() < LEAST_BOWS
        || seconds(strokes.clone()) < LASTS_S
        || !kept(begin)
        || !kept(strokes.clone())
    {
        return None;
    }
    let piece = evidence.main_note(strokes.start);
    // The first note is there already.
    let (start, end) = evidence.plan.places_mm(piece);
    let is_upper = 0.5 * (start + end) > 0.5 * evidence.plan.problem.hair_mm;
    if is_upper != (loudness == Loudness::Soft) {
        return None;
    }
    let from = evidence.called(piece);
    let (text, sentence, why) = match loudness {
        Loudness::Soft => (
            "upper half, light",
            format!("From {from} on stay in the upper half, with a light bow."),
            "Far from the hand the bow is light by itself.",
        ),
        Loudness::Loud if short => (
            "lower half, short",
            format!("From {from} on stay in the lower half, with short strokes into the string."),
            "Short notes are loud by weight.",
        ),
        Loudness::Loud => (
            "lower half, broad",
            format!("From {from} on stay in the lower half, with broad strokes into the string."),
            "Near the hand the bow has its weight.",
        ),
    };
    // In long loud strokes the weight comes without a word.
    let weight = if loudness == Loudness::Loud && !short { Need::IfTime } else { Need::Worth };
    let advice = Advice::new(Topic::StrokePlace, weight, text, sentence, why);
    Some(advice.over(evidence, piece, hashed((loudness, evidence.rhythm(strokes.start)))))
}

/// What a bow begins with: how long its first note is, and how it is bowed.
fn texture(evidence: &Evidence, stroke: usize) -> (Quarters, StrokeType) {
    let piece = evidence.main_note(stroke);
    (evidence.note(piece).duration, evidence.bowed(piece).stroke_type)
}

/// The part of a stroke in the upper half.
fn upper_part(evidence: &Evidence, stroke: usize) -> f64 {
    let (a, b) = evidence.shares(stroke);
    let (low, high) = (a.min(b), a.max(b));
    let above = high - low.max(0.5);
    if high > low { (above / (high - low)).clamp(0.0, 1.0) } else { f64::from(low > 0.5) }
}
