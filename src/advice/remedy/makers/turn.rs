//! The bowing turned round.

use std::collections::BTreeSet;

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};

/// A start farther before the spot turns too much music for it, bars. Assumed.
const NEAR_BARS: usize = 4;

/// The bowing turned round from the lift before the stroke, where that is near, or from the stroke itself. A
/// printed mark is meant.
pub fn turns(case: &Case) -> Vec<Proposal> {
    let bar = |stroke: usize| case.note(case.notes(stroke).start).bar;
    let near = |stroke: &usize| bar(case.stroke) - bar(*stroke) <= NEAR_BARS;
    let unmarked = |stroke: &usize| case.note(case.notes(*stroke).start).bow.is_none();
    let from = BTreeSet::from([case.chain_start(), case.stroke]);
    let turned = |stroke: usize| {
        let start = case.notes(stroke).start;
        let direction = case.direction(stroke).turned();
        let words = format!("Start the other way at {}: {}", case.at(start), direction.bow_word());
        Proposal::new(Change::Turn, words, [Correction::Bow(case.note(start).id(), direction)])
    };
    from.into_iter().filter(near).filter(unmarked).map(turned).collect()
}
