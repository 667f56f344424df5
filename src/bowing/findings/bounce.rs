//! Bouncing strokes that are asked for, faster or slower than they live.

use std::ops::Range;

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{bowing::evidence::Evidence, score::StrokeType};

/// This many notes in a row make a passage of a stroke. Assumed.
const PASSAGE: usize = 4;

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    for stroke_type in [StrokeType::Spiccato, StrokeType::Sautille] {
        for notes in passages(evidence, stroke_type) {
            raws.extend(tempo(evidence, notes, stroke_type));
        }
    }
}

/// Runs of notes in one stroke type and one length.
fn passages(evidence: &Evidence, stroke_type: StrokeType) -> Vec<Range<usize>> {
    let mut runs: Vec<Range<usize>> = Vec::new();
    for piece in 0..evidence.bowing.notes.len() {
        let note = evidence.note(piece);
        // A stroke that only dots suggest is the player's to choose; one that is asked for is not.
        let asked = [note.stroke, note.manner.stroke].contains(&Some(stroke_type));
        if evidence.bowed(piece).stroke_type != stroke_type || !asked || note.grace.is_some() {
            continue;
        }
        let goes_on = |run: &Range<usize>| {
            let before = evidence.note(run.end - 1);
            run.end == piece && before.duration == note.duration && before.end() == note.onset
        };
        match runs.last_mut() {
            Some(run) if goes_on(run) => run.end = piece + 1,
            _ => runs.push(piece..piece + 1),
        }
    }
    runs.retain(|run| run.len() >= PASSAGE);
    runs
}

fn tempo(evidence: &Evidence, notes: Range<usize>, stroke_type: StrokeType) -> Option<Raw> {
    let first = notes.start;
    let seconds = evidence.bowed(notes.end - 1).onset_s - evidence.bowed(first).onset_s;
    let rate = (notes.len() - 1) as f64 / seconds;
    let rules = evidence.rules();
    let (border, slack) = (rules.bounce_border_per_s, rules.bounce_slack_ratio);
    let too_fast = stroke_type == StrokeType::Spiccato && rate > border * slack;
    let too_slow = stroke_type == StrokeType::Sautille && rate < border / slack;
    if !rate.is_finite() || !(too_fast || too_slow) {
        return None;
    }
    let word = stroke_type.word();
    let (kind, headline, why) = if too_fast {
        (
            Kind::SpiccatoFast,
            format!("fast for {word}"),
            "So fast the arm cannot throw each note: nearer the middle the stick bounces by itself (sautillé).",
        )
    } else {
        (
            Kind::SautilleSlow,
            format!("slow for {word}"),
            "So slow the stick does not bounce by itself: each note is thrown, nearer the balance point (spiccato).",
        )
    };
    let said = Said {
        kind,
        verdict: Verdict::Notice,
        about: About::Place,
        heard: ((rate / border).ln().abs() / 2_f64.ln()).min(0.8),
        headline,
        what: format!(
            "From {} {} notes of {word} come at {rate:.1} a second; the border between the two bouncing strokes is near {border:.1}.",
            evidence.place(first),
            notes.len()
        ),
        why: why.to_owned(),
    };
    let strokes = evidence.bowing.stroke_of(first)..evidence.bowing.stroke_of(notes.end - 1) + 1;
    Some(evidence.raw(first, said).over(strokes).caused_by(rate.round() as i64))
}
