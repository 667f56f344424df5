//! The bowing turned round.

use std::collections::BTreeSet;

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};

/// The bowing turned round from the lift before the stroke, or from the stroke itself.
pub fn turns(case: &Case) -> Vec<Proposal> {
    let from = BTreeSet::from([case.chain_start(), case.stroke]);
    let turned = |stroke: usize| {
        let start = case.notes(stroke).start;
        let direction = case.direction(stroke);
        let words = format!("Start the other way at {}: {}", case.at(start), direction.turned().bow_word());
        Proposal::new(Change::Turn, words, [Correction::Turn(case.note(start).id(), direction)])
    };
    from.into_iter().map(turned).collect()
}
