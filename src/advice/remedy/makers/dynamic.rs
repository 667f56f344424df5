//! A little softer or louder.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::bowing::Verdict;

/// One dynamic step less here, unless an accent stands in this bow, or one more where the bow has to be spent.
pub fn dynamics(case: &Case) -> Vec<Proposal> {
    let (from, until) = case.span();
    let (wanted, planned) = case.hair(case.stroke);
    let at = case.lesson().score.place(from).short();
    let accented = case.notes(case.stroke).any(|k| case.is_accented(k));
    let (change, words, steps) = if case.finding.verdict <= Verdict::RunsOut || planned < wanted {
        if accented {
            return Vec::new();
        }
        (Change::Softer, format!("A little softer at {at}"), -1)
    } else if planned > wanted {
        (Change::Louder, format!("A little louder at {at}"), 1)
    } else {
        return Vec::new();
    };
    vec![Proposal::new(change, words, [Correction::Louder(steps, from, until)])]
}
