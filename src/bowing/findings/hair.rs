//! Where the hair ends: at any speed, or at the wanted ones.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{
    bowing::{Cause, Impossible, RunOut, evidence::Evidence, pencil::part_words},
    score::cm,
};

/// A bow of so many seconds is long whatever comes before it. Assumed.
const LONG_S: f64 = 5.0;

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let spots = &evidence.plan.solution.impossible;
    let told = spots.iter().enumerate().filter(|(k, spot)| {
        // A fixed place that is in the way of the notes on both sides of it is one trouble.
        let before = k.checked_sub(1).map(|before| spots[before].cause);
        !(matches!(spot.cause, Cause::Pin(_)) && before == Some(spot.cause))
    });
    raws.extend(told.map(|(_, spot)| impossible(evidence, spot)));
    let rules = evidence.rules();
    let felt = evidence.plan.run_outs.iter().filter(|spot| spot.is_felt(rules));
    raws.extend(felt.map(|spot| runs_out(evidence, spot)));
}

fn runs_out(evidence: &Evidence, spot: &RunOut) -> Raw {
    let at = evidence.at(spot.piece, spot.seconds_in);
    let place = evidence.place_at(at);
    let stroke = evidence.bowing.stroke_of(spot.piece);
    let (short_mm, short_s) = (spot.short_mm, spot.short_seconds);
    let since = evidence.bowing.stroke_of(spot.since);
    let from = if since == stroke {
        "Played without looking ahead".to_owned()
    } else {
        format!("Played from {} on without looking ahead", evidence.place(spot.since).short())
    };
    let what = format!(
        "{from}, you reach the {} on {place}, at {}: {}.",
        end_word(spot),
        evidence.note_words(spot.piece),
        to_come(short_s / evidence.seconds(stroke).max(1e-9))
    );
    let Blame { kind, headline, why, since } = match spot.drift_mm {
        // Of a bow that lasts so long, the ones before it are not to blame.
        Some(drift_mm) if spot.stroke_s < LONG_S => drifted(evidence, spot, drift_mm),
        _ => on_its_own(evidence, spot),
    };
    let said = Said {
        kind,
        verdict: Verdict::RunsOut,
        about: About::Amount,
        heard: heard_short(short_mm),
        headline,
        what,
        why,
    };
    // The same comes again where the same music does.
    let raw = match kind {
        Kind::RunsOutDrift => evidence.raw_at(spot.piece, at, said),
        // Of a bow that is to blame itself the beginning is marked.
        _ => evidence.raw(evidence.first(stroke), said),
    };
    raw.out(at).short(short_mm, short_s).over(since.min(stroke)..stroke + 1)
}

/// What makes the bow run out.
struct Blame {
    kind: Kind,
    headline: String,
    why: String,
    /// The first stroke that is to blame.
    since: usize,
}

/// The strokes before it have carried the bow to where there is too little hair.
fn drifted(evidence: &Evidence, spot: &RunOut, drift_mm: f64) -> Blame {
    let since = evidence.note(spot.since);
    Blame {
        kind: Kind::RunsOutDrift,
        headline: format!("the bow has crept to the {}", end_word(spot)),
        why: format!(
            "Since {} the {}.",
            evidence.place_at(since.onset),
            if drift_mm > 0.0 {
                "down-bows take more of the bow than the up-bows bring back"
            } else {
                "up-bows take more of the bow than the down-bows bring back"
            }
        ),
        since: evidence.bowing.stroke_of(spot.since),
    }
}

/// The stroke is too long for the bow, or starts where it is.
fn on_its_own(evidence: &Evidence, spot: &RunOut) -> Blame {
    let stroke = evidence.bowing.stroke_of(spot.piece);
    let notes = evidence.strokes()[stroke].notes.clone();
    let count = notes.len();
    let wanted = evidence.wanted_mm(stroke);
    let (lo, hi) = evidence.plan.problem.usable;
    let start_mm = spot.start_mm(notes.start);
    let hair_mm = evidence.plan.problem.hair_mm.max(1.0);
    let left = if spot.at_tip { hi - start_mm } else { start_mm - lo };
    let subject = if count == 1 { "this note".to_owned() } else { format!("the {count} notes in this bow") };
    // A stroke longer than the whole bow is to blame itself; a shorter one starts badly.
    let (kind, headline) = if !spot.longer_than_bow && spot.stroke_s >= LONG_S {
        (
            Kind::RunsOutStart,
            format!("{:.0} seconds in one bow, from too near the {}", spot.stroke_s, end_word(spot)),
        )
    } else if !spot.longer_than_bow {
        (Kind::RunsOutStart, format!("this bow starts too near the {}", end_word(spot)))
    } else if count == 1 {
        (Kind::RunsOutStroke, "one note is too long for the bow".to_owned())
    } else {
        (Kind::RunsOutStroke, format!("{count} notes in one bow are too long for it"))
    };
    let wants = if spot.longer_than_bow { "more bow than there is" } else { part_words(wanted / hair_mm) };
    Blame {
        kind,
        headline,
        why: format!(
            "At this dynamic {subject} would take {wants}; where the stroke starts, {} is left.",
            part_words(left.max(0.0) / hair_mm)
        ),
        since: stroke,
    }
}

/// How much of a stroke is still to come where the hair ends, by its share of the time.
fn to_come(share: f64) -> &'static str {
    match share {
        ..0.15 => "the very end of the stroke is still to come",
        ..0.3 => "a quarter of the stroke is still to come",
        ..0.42 => "a third of the stroke is still to come",
        ..0.6 => "half of the stroke is still to come",
        _ => "most of the stroke is still to come",
    }
}

/// The end of the bow at which the hair ends.
fn end_word(spot: &RunOut) -> &'static str {
    if spot.at_tip { "tip" } else { "frog" }
}

fn impossible(evidence: &Evidence, spot: &Impossible) -> Raw {
    let at = evidence.at(spot.piece, spot.seconds_in);
    let place = evidence.place_at(at);
    let note = evidence.note_words(spot.piece);
    let (kind, what, why) = match spot.cause {
        Cause::Hair => (
            Kind::NoWayHair,
            format!(
                "Even the slowest bow from the best place ends on {place}, at {note}: {}.",
                to_come(
                    spot.short_seconds / evidence.seconds(evidence.bowing.stroke_of(spot.piece)).max(1e-9)
                )
            ),
            "The stroke lasts longer than this player's slowest bow; it needs another bow, or a faster tempo.",
        ),
        Cause::Pin(index) if is_outside(evidence, index) => (
            Kind::NoWayPlace,
            format!(
                "The place fixed for {note} lies outside the hair that is used, {} to {} from the frog; {} are missing.",
                cm(evidence.plan.problem.usable.0),
                cm(evidence.plan.problem.usable.1),
                cm(spot.short_mm)
            ),
            "A fixed place has to lie where this player can bow: move it, or change the player's own hair.",
        ),
        Cause::Pin(_) => (
            Kind::NoWayPlace,
            format!(
                "The place fixed for {note} cannot be reached from the notes before it; {} are missing.",
                cm(spot.short_mm)
            ),
            "The fixed place and the notes before it contradict each other within this player's speeds.",
        ),
        Cause::Reach => (
            Kind::NoWayLift,
            format!(
                "There is no time to set the bow where {note} needs it; {} are missing.",
                cm(spot.short_mm)
            ),
            "The lift before it is too short to move the bow that far through the air.",
        ),
    };
    let said = Said {
        kind,
        verdict: Verdict::Impossible,
        about: About::Amount,
        heard: 1.0,
        headline: "cannot be played as marked".to_owned(),
        what,
        why: why.to_owned(),
    };
    let raw = match spot.cause {
        Cause::Hair => evidence.raw(evidence.first(evidence.bowing.stroke_of(spot.piece)), said).out(at),
        Cause::Pin(_) | Cause::Reach => evidence.raw_at(spot.piece, at, said).caused_by(spot.piece),
    };
    raw.short(spot.short_mm, spot.short_seconds)
}

fn is_outside(evidence: &Evidence, pin: usize) -> bool {
    let (lo, hi) = evidence.plan.problem.usable;
    evidence.plan.problem.pins.get(pin).is_some_and(|pin| pin.hi_mm < lo || pin.lo_mm > hi)
}

/// How plainly it is heard that this much hair is missing: fully from 20 cm on. Assumed.
pub(crate) fn heard_short(short_mm: f64) -> f64 {
    short_mm / 200.0
}
