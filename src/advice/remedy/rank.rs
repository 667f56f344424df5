//! The order in which remedies are offered.

use std::collections::BTreeMap;

use super::{
    offer::{Remedy, SAME},
    outcome::Outcome,
    trial::Change,
};

/// A list holds at most this many remedies, and this many of one kind. Assumed.
const MOST: usize = 8;
const MOST_OF_A_KIND: usize = 2;

/// Drops what does not help and what is the same as another, and puts the best first: by how the lesson
/// is judged after it, with what a teacher thinks of last counted against it; then what changes fewest
/// marks. Another tempo changes the whole piece and comes last. The best of every kind comes before a
/// second one of any kind when the list is full.
pub fn rank(mut tried: Vec<Remedy>) -> Vec<Remedy> {
    tried.retain(Remedy::helps);
    let key = |remedy: &Remedy| ((remedy.worse + late(remedy)) / SAME).round();
    tried.sort_by(|a, b| {
        (last(a).cmp(&last(b))).then(key(a).total_cmp(&key(b))).then(a.marks_changed.cmp(&b.marks_changed))
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

/// What only moves the trouble comes after what eases it, and another tempo after what does either.
fn last(remedy: &Remedy) -> (bool, bool) {
    (remedy.outcome >= Outcome::Moves, remedy.other_tempo())
}

/// What counts against a remedy beside the judgement of the lesson after it.
fn late(remedy: &Remedy) -> f64 {
    let trial = &remedy.trial;
    let softer = if remedy.is_thin { reluctance(Change::Softer) } else { 0.0 };
    let second = trial.and.map_or(0.0, |and| reluctance(and).max(TWO_CHANGES));
    let divides = trial.change == Change::Split && !remedy.too_long;
    let divides = if divides { NEEDLESS_SPLIT } else { 0.0 };
    trial.places as f64 * (softer + divides + reluctance(trial.change) + second)
}

/// Of two changes at once the second counts at least this. Assumed.
const TWO_CHANGES: f64 = 0.2;

/// A slur that fits a bow is divided only where little else helps. Assumed.
const NEEDLESS_SPLIT: f64 = 2.0;

/// How late a teacher thinks of a change, for each strong beat on an up-bow 1.5. The order is common
/// practice, no source: where the bow starts and how it is shared out; the upbeat hooked or the bow
/// turned; changed at a tie, a slur divided where the phrase allows; what was separate joined; what the
/// composer asks of the sound only when all that fails. The numbers are assumed.
fn reluctance(change: Change) -> f64 {
    match change {
        Change::Start | Change::NoRetake | Change::FreePlace | Change::Stroke => 0.0,
        Change::SaveBow | Change::SpendBow | Change::Return => 0.1,
        Change::Place => 0.2,
        Change::Hook => 0.3,
        Change::Turn => 0.4,
        Change::Inside | Change::Split => 0.5,
        Change::Retake => 0.8,
        Change::Slur | Change::RetakeInside => 2.0,
        Change::Softer | Change::Louder | Change::Portato => 3.0,
        Change::Tempo => 5.0,
    }
}
