//! Two changes at once, where one may not be enough.

use super::{
    super::{
        case::Case,
        correction::Correction,
        trial::{Change, Proposal},
        words::note_at,
    },
    speed::{FACTOR_STEP, FACTORS},
    split,
};
use crate::{
    bowing::as_fast,
    score::{Direction, SameBow, sentence_case},
};

/// A split with something else, a retake with less bow, another direction with less sound.
pub fn doubles(case: &Case) -> Vec<Proposal> {
    let softer = Part::softer(case);
    let retake = Part::retake(case, case.stroke).filter(|_| case.stroke > 0);
    let mut found = with_split(case, &softer, retake.as_ref());
    found.extend(Part::whole_bow(case).and_then(|place| with_less_bow(case, &place)));
    found.extend(retake.as_ref().and_then(|retake| with_less_bow(case, retake)));
    let first = retake.unwrap_or_else(|| Part::turn(case));
    let words = format!("{}, and {}", sentence_case(&first.words), softer.words);
    found.push(first.and(softer, words));
    found
}

/// One of the two changes, with the words that follow "and".
#[derive(Clone)]
struct Part {
    change: Change,
    correction: Correction,
    words: String,
}

impl Part {
    fn new(change: Change, correction: Correction, words: impl Into<String>) -> Self {
        Self { change, correction, words: words.into() }
    }

    fn softer(case: &Case) -> Self {
        let (from, until) = case.span();
        Self::new(Change::Softer, Correction::Louder(-1, from, until), "a little softer")
    }

    /// The stroke lifted before, in the direction it has; none where the bow is lifted there already.
    fn retake(case: &Case, stroke: usize) -> Option<Self> {
        if !case.stays(stroke) {
            return None;
        }
        let start = case.notes(stroke).start;
        let correction = Correction::Retake(case.note(start).id(), case.direction(stroke));
        Some(Self::new(Change::Retake, correction, format!("retake before {}", case.at(start))))
    }

    fn turn(case: &Case) -> Self {
        let (start, direction) = (case.notes(case.stroke).start, case.direction(case.stroke).turned());
        let words = format!("turn the bowing round: {} at {}", direction.bow_word(), case.at(start));
        Self::new(Change::Turn, Correction::Bow(case.note(start).id(), direction), words)
    }

    /// With all of the hair ahead; none where the place is fixed.
    fn whole_bow(case: &Case) -> Option<Self> {
        let analysis = case.analysis();
        let start = case.notes(case.stroke).start;
        if case.pinned().contains(&start) {
            return None;
        }
        let (lo, hi) = analysis.plan.solution.corridor_start[start];
        let down = case.direction(case.stroke) == Direction::Down;
        let (mm, end) = if down { (lo, "frog") } else { (hi, "tip") };
        let share = (mm / analysis.plan.problem.hair_mm.max(1.0)).clamp(0.0, 1.0);
        let correction = Correction::Place(case.note(start).id(), Some(share));
        Some(Self::new(Change::Place, correction, format!("be at the {end} at {}", case.at(start))))
    }

    fn hook(case: &Case, stroke: usize) -> Self {
        let head = case.note(case.notes(stroke).start);
        let what = note_at(&case.lesson().score, head.onset);
        let correction = Correction::Join(head.id(), SameBow::Hooked);
        Self::new(Change::Hook, correction, format!("hook {what} to the one before it"))
    }

    fn and(self, second: Self, words: String) -> Proposal {
        Proposal::both((self.change, second.change), words, [self.correction, second.correction])
    }
}

/// The best split, with what may be needed beside it.
fn with_split(case: &Case, softer: &Part, retake: Option<&Part>) -> Vec<Proposal> {
    let Some((split, words)) = split::best(case) else { return Vec::new() };
    let split = Part::new(Change::Split, split, words);
    // The bow after the stroke keeps its direction.
    let next = case.next();
    let seconds = [
        Part::whole_bow(case),
        Some(softer.clone()),
        next.and_then(|next| Part::retake(case, next)),
        next.map(|next| Part::hook(case, next)),
        retake.cloned(),
    ];
    let both = |second: Part| {
        let words = format!("{}, and {}", split.words, second.words);
        split.clone().and(second, words)
    };
    seconds.into_iter().flatten().map(both).collect()
}

/// From the end of the bow, by a retake or by the notes before, with as much of it as there is.
fn with_less_bow(case: &Case, first: &Part) -> Option<Proposal> {
    let (lo, hi) = case.analysis().plan.problem.usable;
    let factor = ((hi - lo) / case.hair(case.stroke).0 / FACTOR_STEP).floor() * FACTOR_STEP;
    if !(FACTORS.0..1.0).contains(&factor) {
        return None;
    }
    let save = Correction::Speed(case.ids(case.stroke), factor);
    let saved = format!("save bow, {}", as_fast(factor));
    let words = format!("{}, and {saved}", sentence_case(&first.words));
    Some(first.clone().and(Part::new(Change::SaveBow, save, saved), words))
}
