//! Which way: strong beats and upbeats.
//!
//! A direction that is printed on the note itself is meant and not told.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{bowing::evidence::Evidence, score::Direction};

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    opening(evidence, raws);
    strong_beats(evidence, raws);
}

/// The stroke starts a full bar.
fn on_downbeat(evidence: &Evidence, stroke: usize) -> bool {
    let note = evidence.note(evidence.first(stroke));
    evidence.lesson.score.starts_bar(note)
}

fn is_up(evidence: &Evidence, stroke: usize) -> bool {
    evidence.strokes()[stroke].direction == Direction::Up
}

fn is_printed(evidence: &Evidence, stroke: usize) -> bool {
    evidence.note(evidence.first(stroke)).bow.is_some()
}

/// The direction is printed, or follows from the mark on the next stroke: whoever wrote that means this.
fn is_meant(evidence: &Evidence, stroke: usize) -> bool {
    let next = stroke + 1;
    let leads = evidence.strokes().get(next).is_some_and(|next| !next.lift_before);
    is_printed(evidence, stroke) || leads && is_printed(evidence, next)
}

/// A full first bar that starts up, or an upbeat that ends down. A soft opening is free to do so.
fn opening(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let Some(downbeat) = (0..evidence.strokes().len().min(16)).find(|&stroke| on_downbeat(evidence, stroke))
    else {
        return;
    };
    let piece = evidence.first(downbeat);
    if !is_up(evidence, downbeat) || evidence.is_soft(piece) {
        return;
    }
    let (stroke, kind, headline, what, why) = if downbeat == 0 {
        (
            0,
            Kind::FirstBeatUp,
            "the first strong beat is an up-bow",
            format!("The first note, on {}, falls on an up-bow.", evidence.place(piece)),
            "A full first bar begins down unless a soft opening grows; the weight of the arm is near the frog.",
        )
    } else {
        let upbeat = downbeat - 1;
        let before = evidence.first(upbeat);
        (
            upbeat,
            Kind::UpbeatDown,
            "a down-bow before the strong beat",
            format!(
                "The last note before the strong beat, on {}, falls on a down-bow, the strong beat on an up-bow.",
                evidence.place(before)
            ),
            "The last note of an upbeat goes up, so that the strong beat falls on a down-bow.",
        )
    };
    let first_bar = evidence.note(piece).bar <= 1;
    if is_meant(evidence, stroke) || evidence.strokes()[downbeat].lift_before && downbeat > 0 || !first_bar {
        return;
    }
    let said = notice(kind, 0.8, headline.to_owned(), what, why);
    raws.push(evidence.raw(evidence.first(stroke), said).caused_by("opening"));
}

/// Several loud strong beats in a row on up-bows. Soft ones have no weight to miss.
fn strong_beats(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let chosen = evidence.chosen();
    let mut run: Vec<usize> = Vec::new();
    let mut runs: Vec<Vec<usize>> = Vec::new();
    for stroke in (0..evidence.strokes().len()).filter(|&stroke| on_downbeat(evidence, stroke)) {
        let pushed = is_up(evidence, stroke) && !chosen[stroke] && !is_meant(evidence, stroke);
        if pushed && evidence.is_loud(evidence.first(stroke)) {
            run.push(stroke);
        } else {
            runs.push(std::mem::take(&mut run));
        }
    }
    runs.push(run);
    for run in runs.into_iter().filter(|run| run.len() >= evidence.rules().up_beats_in_a_row.max(1)) {
        let count = run.len();
        // One turn of the bow mends the whole row, so it is told once.
        let first = run[0];
        let score = &evidence.lesson.score;
        let bar = |stroke: usize| {
            let bar = evidence.note(evidence.first(stroke)).bar;
            score.bar_name(bar, &evidence.line.sections).words()
        };
        let said = notice(
            Kind::StrongBeatsUp,
            0.5,
            format!("{count} loud strong beats in a row on up-bows"),
            format!(
                "{count} loud strong beats in a row fall on up-bows, from {} to {}.",
                bar(run[0]),
                bar(run[count - 1])
            ),
            "Strong beats fall on down-bows by default; one retake, hook or split slur turns the whole row round.",
        );
        raws.push(evidence.raw(evidence.first(first), said).caused_by(("row", run[0])));
    }
}

fn notice(kind: Kind, heard: f64, headline: String, what: String, why: &str) -> Said {
    let (verdict, about) = (Verdict::Notice, About::Direction);
    Said { kind, verdict, about, heard, headline, what, why: why.to_owned() }
}
