//! Another stroke type for the whole passage.

use super::super::{
    case::{Case, passage},
    correction::Correction,
    trial::{Change, Proposal},
    words::span,
};
use crate::score::{EventId, StrokeType, sentence_case};

/// For a spiccato that is too fast: the other bouncing stroke, or on the string.
pub fn faster_stroke(case: &Case) -> Vec<Proposal> {
    played(case, &[StrokeType::Sautille, StrokeType::Detache])
}

/// For a sautillé that is too slow: the other bouncing stroke, or on the string.
pub fn slower_stroke(case: &Case) -> Vec<Proposal> {
    played(case, &[StrokeType::Spiccato, StrokeType::Detache])
}

fn played(case: &Case, others: &[StrokeType]) -> Vec<Proposal> {
    let notes = passage(case.analysis(), case.piece);
    let now = case.analysis().bowed(case.piece).stroke_type;
    let (from, to) = (case.note(notes.start).onset, case.note(notes.end - 1).onset);
    let ids: Vec<EventId> = notes.map(|k| case.note(k).id()).collect();
    let score = &case.lesson().score;
    let over =
        if ids.len() > 1 { span(score, from, to) } else { format!("at {}", score.place(from).short()) };
    let instead = |&other: &StrokeType| {
        let words = format!("{} instead of {} {over}", sentence_case(other.word()), now.word());
        Proposal::new(Change::Stroke, words, [Correction::Stroke(ids.clone(), other)])
    };
    others.iter().map(instead).collect()
}
