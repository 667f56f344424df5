//! The order in which remedies are offered.

use std::collections::BTreeMap;

use super::{
    offer::{Remedy, SAME_BURDEN},
    outcome::Outcome,
};

/// Hair missing that ranks like one unit of burden, mm. Assumed.
const MISSING_MM: f64 = 100.0;
/// A change of tempo up to this share comes before what only eases. Assumed.
const SMALL_TEMPO: f64 = 0.1;
/// A list holds at most this many remedies, and this many of one kind. Assumed.
const MOST: usize = 8;
const MOST_OF_A_KIND: usize = 2;

/// Drops what does not help and what is the same as another, and puts the best first: what cures,
/// then what eases, then what only moves the trouble, another tempo and a lift inside a slur late; then
/// what changes only a few marks, then the burden it leaves, then how little it changes. The best of
/// every kind comes before a second one of any kind when the list is full.
pub fn rank(mut tried: Vec<Remedy>) -> Vec<Remedy> {
    tried.retain(Remedy::helps);
    let key = |remedy: &Remedy| (weight(remedy) / SAME_BURDEN).round();
    tried.sort_by(|a, b| {
        (class(a).cmp(&class(b)))
            .then(a.is_wide().cmp(&b.is_wide()))
            .then(key(a).total_cmp(&key(b)))
            .then(a.marks_changed.cmp(&b.marks_changed))
    });
    let mut kept: Vec<(usize, Remedy)> = Vec::new();
    let mut of_kind = BTreeMap::new();
    for remedy in tried {
        if !kept.iter().any(|(_, other)| other.study.lesson() == remedy.study.lesson()) {
            let count = of_kind.entry((remedy.trial.alike(), remedy.trial.everywhere)).or_insert(0);
            *count += 1;
            if *count <= MOST_OF_A_KIND {
                kept.push((*count, remedy));
            }
        }
    }
    while kept.len() > MOST {
        let second = kept.iter().rposition(|(count, _)| *count > 1);
        kept.remove(second.unwrap_or(kept.len() - 1));
    }
    kept.into_iter().map(|(_, remedy)| remedy).collect()
}

/// The lower, the earlier in a list.
fn class(remedy: &Remedy) -> (Outcome, bool, bool) {
    let (was, is) = (remedy.tempo_before, remedy.study.lesson().setup.tempo_share);
    match remedy.outcome {
        Outcome::Cures if remedy.other_tempo() && (is / was - 1.0).abs() > SMALL_TEMPO => {
            (Outcome::Eases, true, false)
        }
        outcome => (outcome, remedy.other_tempo(), remedy.lifts_inside()),
    }
}

/// What it leaves as one number, with its marks, retakes and stops; a burden counts spots, so
/// the hair that is missing is added.
fn weight(remedy: &Remedy) -> f64 {
    remedy.after.load(remedy.marks_changed) + remedy.after.missing_mm / MISSING_MM
}
