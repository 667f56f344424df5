//! A little softer.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::{
    bowing::Verdict,
    score::{Quarters, SignKind},
};

/// A bow that grows by so many dynamic steps is meant to. Assumed.
const GROWS_STEPS: f64 = 0.3;

/// One dynamic step less in a bow that has too little hair, unless it grows, or an accent or a dynamic stands in it.
pub fn softer(case: &Case) -> Vec<Proposal> {
    let (from, until) = case.span();
    let level = |at: Quarters| case.analysis().line.dynamics.level(at.to_f64());
    let stands = |at: Quarters| at >= from && at < until;
    let marked = (case.lesson().score.signs.iter())
        .any(|sign| stands(sign.at) && matches!(sign.kind, SignKind::Dynamic(_)));
    let accented = case.notes(case.stroke).any(|k| case.is_accented(k));
    let grows = level(until) > level(from) + GROWS_STEPS;
    if case.finding.verdict > Verdict::RunsOut || marked || accented || grows {
        return Vec::new();
    }
    let words = format!("A little softer at {}", case.lesson().score.place(from).short());
    vec![Proposal::new(Change::Softer, words, [Correction::Louder(-1, from, until)])]
}
