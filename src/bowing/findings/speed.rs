//! Where the plan has to leave the wanted speed, and where it meets the player's limits.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said, heard_bend},
};
use crate::{
    bowing::{
        evidence::Evidence,
        pencil::{as_fast, part_words, there},
    },
    score::Direction,
};

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    for stroke in 0..evidence.strokes().len() {
        raws.extend(bend(evidence, stroke));
        raws.extend(narrow(evidence, stroke));
        raws.extend(near_slowest(evidence, stroke));
        raws.extend(rush(evidence, stroke));
    }
}

/// A bow of so many seconds, at least so fast, is no trouble. Assumed: an ordinary bow in a loud long note.
const CALM_FROM_S: f64 = 2.0;
const CALM_MM_PER_S: f64 = 80.0;
/// A bow of less is over before it is heard that there was little of it, s. Assumed.
const PASSES_S: f64 = 1.5;
/// A stroke of less is short, s. Assumed.
const SHORT_S: f64 = 0.25;
/// So many strokes ahead an accent or a fixed place decides where the bow has to be. Assumed.
const AHEAD: usize = 4;

/// A stroke for which the plan takes much more or less bow than it wants.
fn bend(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let limit = evidence.lesson.setup.school.tight_ratio;
    let ratio = evidence.bend(stroke).filter(|ratio| ratio.max(1.0 / ratio) > limit)?;
    let slower = ratio < 1.0;
    // A full chord is broken and held with as much bow as there is.
    let chord = |piece: usize| evidence.note(piece).notes.len() > 2;
    if slower && evidence.strokes()[stroke].notes.clone().any(chord) {
        return None;
    }
    // A short stroke takes less bow and nobody hears it; a fast one is heard.
    if slower && evidence.seconds(stroke) * (1.0 - ratio) < evidence.rules().least_run_out_s {
        return None;
    }
    // What passes, what is struck and then held for a moment, and what is not loud needs no more bow than it gets.
    let first = evidence.strokes()[stroke].notes.start;
    let struck = evidence.is_sharp(first) || evidence.is_accented(first);
    let passes = evidence.seconds(stroke) < if struck { CALM_FROM_S } else { PASSES_S };
    if slower && (passes || !evidence.is_loud(first)) {
        return None;
    }
    let wanted = evidence.wanted_mm(stroke);
    // There is hair for it, and nothing needs the place: the plan is only thrifty.
    if slower && hair_left_mm(evidence, stroke) >= (1.0 - ratio) * wanted && !needs_place(evidence, stroke) {
        return None;
    }
    // An accent and what grows take more bow of themselves, and in a short stroke nobody hears it.
    let grows = evidence.end_level(stroke) > evidence.level(first) + 0.1;
    if !slower && (struck || grows || evidence.seconds(stroke) < SHORT_S) {
        return None;
    }
    // A long bow is drawn calmly at any dynamic: nearer the bridge it is heard.
    let seconds = evidence.seconds(stroke);
    if slower && seconds >= CALM_FROM_S && ratio * wanted >= CALM_MM_PER_S * seconds {
        return None;
    }
    let notes = &evidence.strokes()[stroke].notes;
    let said = Said {
        kind: if slower { Kind::TightSlow } else { Kind::TightFast },
        verdict: Verdict::Tight,
        about: About::Amount,
        heard: heard_bend(ratio),
        headline: if slower {
            format!("less bow than the dynamic asks, {}", as_fast(ratio))
        } else {
            format!("more bow than the dynamic asks, {}", as_fast(ratio))
        },
        what: format!(
            "In {}: the plan gives {} {} where the dynamic asks for {}.",
            evidence.place(notes.start),
            if notes.len() == 1 { evidence.note_words(notes.start) } else { "this bow".to_owned() },
            part_words(ratio * wanted / evidence.plan.problem.hair_mm.max(1.0)),
            part_words(wanted / evidence.plan.problem.hair_mm.max(1.0))
        ),
        why: if slower {
            "The bow has to last, or must not leave its place; nearer the bridge the sound stays."
        } else {
            "The bow has to be won back for what follows; lighter and nearer the fingerboard it makes no bump."
        }
        .to_owned(),
    };
    Some(evidence.raw(notes.start, said).short(((1.0 - ratio) * wanted).max(0.0), 0.0))
}

/// Hair beyond the end of a stroke, in its direction, mm.
fn hair_left_mm(evidence: &Evidence, stroke: usize) -> f64 {
    let (_, end) = evidence.plan.places_mm(evidence.strokes()[stroke].notes.end - 1);
    let (lo, hi) = evidence.plan.problem.usable;
    match evidence.way(stroke) {
        Direction::Down => hi - end,
        Direction::Up => end - lo,
    }
}

/// One of the next few strokes on the string begins with an accent, or at a fixed place: the bow has to be there.
fn needs_place(evidence: &Evidence, stroke: usize) -> bool {
    let next = (stroke + 1..evidence.strokes().len()).take(AHEAD);
    let on_string = next.take_while(|&next| !evidence.strokes()[next].lift_before);
    on_string
        .map(|next| evidence.main_note(next))
        .any(|piece| evidence.is_accented(piece) || evidence.plan.pinned[piece])
}

/// A stroke that can only be started from a narrow place.
fn narrow(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let (piece, _) = evidence.strokes()[stroke]
        .notes
        .clone()
        .filter(|&piece| !evidence.plan.unplanned[piece])
        .filter(|&piece| !evidence.plan.pinned[piece])
        .map(|piece| (piece, evidence.plan.solution.corridor_start[piece]))
        .map(|(piece, (lo, hi))| (piece, hi - lo))
        .min_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, width)| *width < evidence.lesson.setup.school.tight_width_mm)?;
    let (lo, hi) = evidence.plan.solution.corridor_start[piece];
    let said = Said {
        kind: Kind::TightPlace,
        verdict: Verdict::Tight,
        about: About::Amount,
        heard: 0.2,
        headline: "only one place to start".to_owned(),
        what: format!(
            "On {} the bow must start {}, or what follows cannot be played.",
            evidence.place(piece),
            there(0.5 * (lo + hi) / evidence.plan.problem.hair_mm.max(1.0))
        ),
        why: "The strokes that follow leave no more room.".to_owned(),
    };
    Some(evidence.raw(piece, said))
}

/// A loud bow of so many seconds has lost its sound before its end. Assumed.
const LOUD_LASTS_S: f64 = 6.0;

/// So long a soft bow is usually divided, s. Assumed.
const DIVIDED_S: f64 = 12.0;

/// A stroke that takes nearly all the time this player can make a bow last.
fn near_slowest(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let notes = evidence.strokes()[stroke].notes.clone();
    if notes.clone().any(|piece| evidence.ratio(piece).is_none()) {
        return None;
    }
    let used: f64 = notes.clone().map(|piece| evidence.plan.used_mm(piece)).sum();
    let seconds = evidence.seconds(stroke);
    let slowest = evidence.lesson.setup.slowest_mm_per_s();
    let ratio = used / (seconds * slowest);
    // A short stroke at a soft dynamic is slow by choice; a long one because it has to be.
    let long = used >= 0.5 * (evidence.plan.problem.usable.1 - evidence.plan.problem.usable.0);
    let slow = ratio < evidence.rules().near_slowest_ratio && long;
    let loud = notes.clone().any(|piece| evidence.is_loud(piece)) && seconds >= LOUD_LASTS_S;
    if !(slow || loud) {
        return None;
    }
    let said = Said {
        kind: Kind::NearSlowest,
        verdict: Verdict::Tight,
        about: About::Amount,
        heard: 0.5,
        headline: format!(
            "{seconds:.0} seconds in one bow, {}",
            if slow { "near the slowest" } else { "and loud" }
        ),
        what: format!(
            "From {} one bow lasts {seconds:.0} seconds, {}.",
            evidence.place(notes.start),
            if slow { "about as long as this player can make it last" } else { "and it has to be loud" }
        ),
        why: if loud {
            "So slow a bow has no strength; two or three bows, changed at a barline, are usual."
        } else if seconds >= DIVIDED_S {
            "There is no bow to spare; two or three bows, changed quietly at a barline, are usual."
        } else {
            "There is no bow to spare: the smallest slip runs out, and there is no room to grow."
        }
        .to_owned(),
    };
    Some(evidence.raw(notes.start, said))
}

/// A smaller part of the bow is drawn at once without a rush, however quick it is; more of it where the note is struck,
/// which takes bow of itself. Assumed.
const RUSHED_PART: f64 = 0.2;
const STRUCK_PART: f64 = 0.33;

/// A bow faster than calm playing allows, and much faster than the note wants.
fn rush(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let limit = evidence.rules().very_fast_mm_per_s;
    let (piece, speed) = evidence.strokes()[stroke]
        .notes
        .clone()
        .filter(|&piece| evidence.ratio(piece).is_some_and(|ratio| ratio >= evidence.rules().felt_ratio))
        .filter(|&piece| {
            let part = evidence.plan.used_mm(piece) / evidence.plan.problem.hair_mm.max(1.0);
            let struck = evidence.is_sharp(piece) || evidence.is_accented(piece);
            part >= if struck { STRUCK_PART } else { RUSHED_PART }
        })
        .map(|piece| (piece, evidence.plan.used_mm(piece) / evidence.plan.piece(piece).seconds))
        .max_by(|a, b| a.1.total_cmp(&b.1))
        .filter(|(_, speed)| *speed > limit)?;
    let said = Said {
        kind: Kind::Rush,
        verdict: Verdict::Tight,
        about: About::Amount,
        heard: speed / (2.0 * limit.max(1.0)),
        headline: "a very fast bow".to_owned(),
        what: format!(
            "On {} {} takes {} at once.",
            evidence.place(piece),
            evidence.note_words(piece),
            part_words(evidence.plan.used_mm(piece) / evidence.plan.problem.hair_mm.max(1.0))
        ),
        why: "So fast the bow is hard to draw calmly; less bow or a slower tempo keeps the arm quiet."
            .to_owned(),
    };
    Some(evidence.raw(piece, said))
}
