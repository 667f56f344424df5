//! A slower bow.

use super::super::{
    case::Case,
    correction::Correction,
    trial::{Change, Proposal},
};
use crate::bowing::{Verdict, as_fast};

/// A new factor on the speed is rounded to this, away from the old one. Assumed.
pub(super) const FACTOR_STEP: f64 = 0.05;
/// Factors of slower and faster bow worth proposing. Assumed; 3 is the return in a dotted half and
/// a quarter.
pub(super) const FACTORS: (f64, f64) = (0.4, 4.0);
/// A factor nearer to 1 than this changes nothing that is felt. Assumed.
const SAME_SPEED: f64 = 0.02;

/// A slower bow in a stroke that has too little hair. Where the plan gives all a stroke needs, only otherwise than
/// asked for, to ask for that mends nothing.
pub fn speeds(case: &Case) -> Vec<Proposal> {
    if case.finding.verdict > Verdict::RunsOut {
        return Vec::new();
    }
    let (wanted, _) = case.hair(case.stroke);
    let factor = (wanted - case.finding.short_mm) / wanted;
    if !factor.is_finite() || 1.0 - factor < SAME_SPEED {
        return Vec::new();
    }
    let factor = (factor / FACTOR_STEP).floor() * FACTOR_STEP;
    if !(FACTORS.0..1.0).contains(&factor) {
        return Vec::new();
    }
    let words = format!("Save bow at {}: {}", case.at(case.notes(case.stroke).start), as_fast(factor));
    vec![Proposal::new(Change::SaveBow, words, [Correction::Speed(case.ids(case.stroke), factor)])]
}
