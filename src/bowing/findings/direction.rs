//! Which way: strong beats, upbeats, chords, and hairpins against the bow.
//!
//! A direction that is printed on the note itself is meant and not told, except under a hairpin,
//! where knowing it helps.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{
    bowing::evidence::Evidence,
    {bowing::Swell, score::Direction},
};

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    opening(evidence, raws);
    strong_beats(evidence, raws);
    chords(evidence, raws);
    hairpins(evidence, raws);
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
    if is_printed(evidence, stroke) || evidence.strokes()[downbeat].lift_before && downbeat > 0 || !first_bar
    {
        return;
    }
    let said = notice(kind, 0.8, headline.to_owned(), what, why);
    raws.push(evidence.raw(evidence.first(stroke), said).caused_by("opening"));
}

/// Several strong beats in a row on up-bows.
fn strong_beats(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let mut run: Vec<usize> = Vec::new();
    let mut runs: Vec<Vec<usize>> = Vec::new();
    for stroke in (0..evidence.strokes().len()).filter(|&stroke| on_downbeat(evidence, stroke)) {
        if is_up(evidence, stroke) {
            run.push(stroke);
        } else {
            runs.push(std::mem::take(&mut run));
        }
    }
    runs.push(run);
    for run in runs.into_iter().filter(|run| run.len() >= evidence.rules().up_beats_in_a_row.max(1)) {
        let count = run.len();
        let loud = run.iter().any(|&stroke| evidence.is_loud(evidence.first(stroke)));
        // One turn of the bow mends the whole row, so it is told once, at the first that may be turned.
        let Some(&first) = run.iter().find(|&&stroke| !is_printed(evidence, stroke)) else { continue };
        let score = &evidence.lesson.score;
        let bar = |stroke: usize| {
            let bar = evidence.note(evidence.first(stroke)).bar;
            score.bar_name(bar, &evidence.line.sections).words()
        };
        let said = notice(
            Kind::StrongBeatsUp,
            if loud { 0.5 } else { 0.3 },
            format!("{count} strong beats in a row on up-bows"),
            format!(
                "{count} strong beats in a row fall on up-bows, from {} to {}.",
                bar(run[0]),
                bar(run[count - 1])
            ),
            "Strong beats fall on down-bows by default; one retake, hook or split slur turns the whole row round.",
        );
        raws.push(evidence.raw(evidence.first(first), said).caused_by(("row", run[0])));
    }
}

/// A chord of three or four notes on an up-bow; repeated chords go back and forth and are left alone.
fn chords(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let chord = |stroke: usize| evidence.note(evidence.first(stroke)).notes.len() >= 3;
    let count = evidence.strokes().len();
    for stroke in (0..count).filter(|&stroke| chord(stroke)) {
        let alone = (stroke == 0 || !chord(stroke - 1)) && (stroke + 1 >= count || !chord(stroke + 1));
        if !alone || !is_up(evidence, stroke) || is_printed(evidence, stroke) {
            continue;
        }
        let piece = evidence.first(stroke);
        let said = notice(
            Kind::ChordUp,
            0.9,
            "a chord on an up-bow".to_owned(),
            format!("On {} {} falls on an up-bow.", evidence.place(piece), evidence.note_words(piece)),
            "A chord is broken from the bottom with the weight of the arm, and that is a down-bow from the lower half.",
        );
        raws.push(evidence.raw(piece, said).caused_by("chord"));
    }
}

/// A crescendo on a down-bow or a diminuendo on an up-bow, inside one stroke.
fn hairpins(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let score = &evidence.lesson.score;
    let inside = evidence.bowing.swells(score, evidence.line);
    for (nth, &Swell { stroke, at, end, opens }) in inside.iter().enumerate() {
        let notes = evidence.strokes()[stroke].notes.clone();
        let seconds = (evidence.line.tempo.seconds(end) - evidence.line.tempo.seconds(at))
            / evidence.lesson.setup.tempo_share;
        let against = opens != is_up(evidence, stroke);
        if !against || seconds < evidence.rules().least_swell_s {
            continue;
        }
        // A swell that comes back inside one bow is against the bow on one side whichever way it goes.
        let beside = [nth.checked_sub(1), Some(nth + 1)].into_iter().flatten();
        let comes_back = |other: &Swell| other.opens != opens && other.stroke == stroke;
        if beside.filter_map(|other| inside.get(other)).any(comes_back) {
            continue;
        }
        let piece = notes.clone().rev().find(|&k| evidence.note(k).onset <= at).unwrap_or(notes.start);
        let place = evidence.place_at(at);
        let (kind, headline, what, why) = if opens {
            let front = 100.0 * evidence.rules().front_share;
            (
                Kind::CrescendoDown,
                "a crescendo on a down-bow",
                format!(
                    "The crescendo at {place} ({seconds:.1} s) grows toward the tip, where the bow is lightest."
                ),
                format!(
                    "It can be done by saving first: no more than {front:.0} percent of the bow in the first half of the time."
                ),
            )
        } else {
            (
                Kind::DiminuendoUp,
                "a diminuendo on an up-bow",
                format!(
                    "The diminuendo at {place} ({seconds:.1} s) fades toward the frog, where the bow is heaviest."
                ),
                "It can be done by spending the bow early and carrying its weight toward the frog."
                    .to_owned(),
            )
        };
        let said = notice(kind, 0.3, headline.to_owned(), what, &why);
        raws.push(evidence.raw(piece, said).caused_by(("hairpin", opens)));
    }
}

fn notice(kind: Kind, heard: f64, headline: String, what: String, why: &str) -> Said {
    let (verdict, about) = (Verdict::Notice, About::Direction);
    Said { kind, verdict, about, heard, headline, what, why: why.to_owned() }
}
