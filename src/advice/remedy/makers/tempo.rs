//! Another practice tempo. How much of it is needed shows when it is tried.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::bowing::Verdict;

/// Practice tempos tried are at most this many times as fast or slow as now. Assumed.
const TEMPO_RANGE: f64 = 1.5;

/// Faster, then slower; no tempo is changed for a notice.
pub fn tempos(case: &Case) -> Vec<Proposal> {
    if case.finding.verdict < Verdict::Notice { [faster(case), slower(case)].concat() } else { Vec::new() }
}

/// A faster practice tempo.
pub fn faster(case: &Case) -> Vec<Proposal> {
    proposed("Take it faster", case.lesson().setup.tempo_share * TEMPO_RANGE)
}

/// A slower practice tempo.
pub fn slower(case: &Case) -> Vec<Proposal> {
    proposed("Take it slower", case.lesson().setup.tempo_share / TEMPO_RANGE)
}

fn proposed(words: &str, share: f64) -> Vec<Proposal> {
    vec![Proposal::new(Change::Tempo, words, [Correction::Tempo(share)])]
}
