//! A slower or faster bow.

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

/// A slower or faster bow in this stroke.
pub fn speeds(case: &Case) -> Vec<Proposal> {
    let (wanted, planned) = case.hair(case.stroke);
    let runs_out = case.finding.verdict <= Verdict::RunsOut;
    let factor = if runs_out { (wanted - case.finding.short_mm) / wanted } else { planned / wanted };
    if !factor.is_finite() || (factor - 1.0).abs() < SAME_SPEED {
        return Vec::new();
    }
    let steps = factor / FACTOR_STEP;
    let factor = if factor < 1.0 { steps.floor() } else { steps.ceil() } * FACTOR_STEP;
    if !(FACTORS.0..=FACTORS.1).contains(&factor) {
        return Vec::new();
    }
    let (change, what) = if factor < 1.0 { (Change::SaveBow, "Save") } else { (Change::SpendBow, "Spend") };
    let at = case.at(case.notes(case.stroke).start);
    let words = format!("{what} bow at {at}: {}", as_fast(factor));
    vec![Proposal::new(change, words, [Correction::Speed(case.ids(case.stroke), factor)])]
}
