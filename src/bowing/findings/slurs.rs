//! How a slur is shared out, and loud slurs that would rather be two.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{
    bowing::evidence::Evidence,
    score::{StrokeType, cm},
};

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    for stroke in 0..evidence.strokes().len() {
        raws.extend(shares(evidence, stroke));
        raws.extend(split(evidence, stroke));
    }
}

/// A note that takes more of a slur in one dynamic than its share of the time.
fn shares(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let notes = evidence.strokes()[stroke].notes.clone();
    let plain = |piece: usize| {
        evidence.bowed(piece).stroke_type == StrokeType::Legato
            && !evidence.is_accented(piece)
            && evidence.note(piece).speed_factor == 1.0
            && evidence.ratio(piece).is_some()
    };
    let (first, last) = (notes.start, notes.end - 1);
    let steady = (evidence.level(first)
        - evidence.line.dynamics.level(evidence.note(last).end().to_f64() - 1e-6))
    .abs()
        < 0.05;
    if notes.len() < 2 || !steady || !notes.clone().all(plain) {
        return None;
    }
    let used: f64 = notes.clone().map(|piece| evidence.plan.used_mm(piece)).sum();
    let seconds = evidence.seconds(stroke);
    let fair = |piece: usize| used * evidence.plan.piece(piece).seconds / seconds;
    let rules = evidence.rules();
    let piece = notes
        .clone()
        .filter(|&piece| evidence.plan.used_mm(piece) - fair(piece) >= rules.least_bend_mm)
        .filter(|&piece| evidence.plan.used_mm(piece) >= rules.slur_share_ratio * fair(piece))
        .max_by(|a, b| {
            (evidence.plan.used_mm(*a) - fair(*a)).total_cmp(&(evidence.plan.used_mm(*b) - fair(*b)))
        })?;
    let ratio = evidence.plan.used_mm(piece) / fair(piece);
    let said = Said {
        kind: Kind::SlurShares,
        verdict: Verdict::Notice,
        about: About::Amount,
        heard: ratio.ln(),
        headline: format!("one note takes too much of the slur of {}", notes.len()),
        what: format!(
            "On {} {} takes {} of the {} of this slur; its share of the time is {}.",
            evidence.place(piece),
            evidence.note_words(piece),
            cm(evidence.plan.used_mm(piece)),
            cm(used),
            cm(fair(piece))
        ),
        why: "In one dynamic every note of a slur gets bow by its length, or the sound swells and fades."
            .to_owned(),
    };
    Some(evidence.raw(piece, said))
}

/// A loud slur that wants nearly the whole bow: split it, and there is room for weight and growth.
fn split(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let notes = evidence.strokes()[stroke].notes.clone();
    let (lo, hi) = evidence.plan.problem.usable;
    let wanted = evidence.wanted_mm(stroke);
    let slurred = notes.clone().all(|piece| evidence.bowed(piece).stroke_type == StrokeType::Legato);
    let loud = notes.clone().all(|piece| evidence.is_loud(piece));
    if notes.len() < 2 || !slurred || !loud || wanted < evidence.rules().split_hair_share * (hi - lo) {
        return None;
    }
    let said = Said {
        kind: Kind::SplitSlur,
        verdict: Verdict::Notice,
        about: About::Amount,
        heard: 0.3,
        headline: format!("{} loud notes take the whole bow", notes.len()),
        what: format!(
            "From {} the slur wants {} of the {} this player has.",
            evidence.place(notes.start),
            cm(wanted),
            cm(hi - lo)
        ),
        why: "A loud slur in two bows has more bow and weight to sound with, and room to grow.".to_owned(),
    };
    Some(evidence.raw(notes.start, said))
}
