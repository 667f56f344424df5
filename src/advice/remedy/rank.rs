//! The order in which remedies are offered.

use std::collections::BTreeMap;

use crate::{
    analysis::Study,
    bowing::{Finding, Kind},
};

use super::{
    offer::{Remedy, SAME},
    outcome::Outcome,
    trial::Change,
};

/// A list holds at most this many remedies, and this many of one kind. Assumed.
const MOST: usize = 8;
const MOST_OF_A_KIND: usize = 2;

/// Drops what does not help and what is the same as another, and puts the best first: what a teacher
/// thinks of first for such a trouble, unless it costs more elsewhere than what comes later; then what
/// changes fewest marks. Another tempo changes the whole piece and comes last. The best of every kind comes
/// before a second one of any kind when the list is full.
pub fn rank(mut tried: Vec<Remedy>) -> Vec<Remedy> {
    tried.retain(Remedy::helps);
    let key = |remedy: &Remedy| (late(remedy) / SAME).round();
    tried.sort_by(|a, b| {
        (last(a).cmp(&last(b))).then(key(a).total_cmp(&key(b))).then(a.marks_changed.cmp(&b.marks_changed))
    });
    let mut kept: Vec<(usize, Remedy)> = Vec::new();
    let mut of_kind = BTreeMap::new();
    for remedy in tried {
        let same = |other: &Remedy| {
            other.study.lesson() == remedy.study.lesson() || other.trial.words == remedy.trial.words
        };
        if !kept.iter().any(|(_, other)| same(other)) {
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

/// How late it is offered: how late a teacher thinks of such a change, what is lost elsewhere, and what
/// stays. What it gains elsewhere counts a little: it is tried for this finding.
fn late(remedy: &Remedy) -> f64 {
    let trial = &remedy.trial;
    let of = |change: Change| reluctance(change, remedy.trouble);
    let softer = if remedy.is_thin { of(Change::Softer) } else { 0.0 };
    let second = trial.and.map_or(0.0, |and| of(and).max(TWO_CHANGES));
    let divides = trial.change == Change::Split && !matches!(remedy.trouble, Trouble::TooLong { .. });
    let divides = if divides { NEEDLESS_SPLIT } else { 0.0 };
    let stays = (STAYS * remedy.stays_at as f64).min(MOST_STAYS);
    let eases = if remedy.cures() { 0.0 } else { ONLY_EASES };
    remedy.price.max(-MOST_GAIN) + eases + softer + divides + of(trial.change) + second + stays
}

/// Of two changes at once the second counts at least this. Assumed.
const TWO_CHANGES: f64 = 1.0;

/// A slur that fits a bow is divided only where little else helps. Assumed.
const NEEDLESS_SPLIT: f64 = 2.0;

/// What a remedy gains beside its finding counts at most this. Assumed.
const MOST_GAIN: f64 = 1.0;

/// Each further place where the finding stays counts this, and all together at most that: who has learnt it at
/// one place does it at the others. Assumed.
const STAYS: f64 = 0.1;
const MOST_STAYS: f64 = 0.5;

/// What only eases counts this much. Assumed.
const ONLY_EASES: f64 = 1.0;

/// A single stroke of so many seconds is too long for one bow rather than too fast, s. Assumed.
const LONG_S: f64 = 3.5;

/// What a finding is about, as far as it decides what a teacher tries first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Trouble {
    /// A stroke longer than the bow, wherever it starts: so long that it is divided, or only to be saved.
    TooLong { divided: bool },
    /// A figure that carries the bow away.
    Drift,
    /// A stroke that starts at the wrong place.
    Start,
    /// A bow that goes the wrong way.
    Way,
    /// Anything else.
    Other,
}

impl Trouble {
    pub fn of(study: &Study, finding: &Finding) -> Self {
        match finding.kind {
            Kind::NoWayHair | Kind::NearSlowest => Self::TooLong { divided: true },
            Kind::RunsOutStroke => {
                let analysis = study.analysis();
                let seconds = |piece: usize| -> f64 {
                    let notes = analysis.stroke(analysis.stroke_of(piece)).notes.clone();
                    notes.map(|k| analysis.piece(k).seconds).sum()
                };
                let piece = analysis.bowed_of_event(finding.event);
                Self::TooLong { divided: piece.is_some_and(|piece| seconds(piece) >= LONG_S) }
            }
            Kind::RunsOutDrift | Kind::Creep | Kind::SlurParity => Self::Drift,
            Kind::RunsOutStart
            | Kind::TightPlace
            | Kind::TightSlow
            | Kind::TightFast
            | Kind::Rush
            | Kind::ChordPlace
            | Kind::CrossingFarOut => Self::Start,
            Kind::FirstBeatUp | Kind::UpbeatDown | Kind::StrongBeatsUp | Kind::ChordUp => Self::Way,
            Kind::NoWayPlace
            | Kind::NoWayLift
            | Kind::OutOfHand
            | Kind::SpiccatoFast
            | Kind::SautilleSlow
            | Kind::ShortRetake
            | Kind::ToneThin => Self::Other,
        }
    }
}

/// How late a teacher thinks of a change, for each strong beat on an up-bow 1.5. The order is common
/// practice, no source: a long note is changed where it is tied, a slur divided where the phrase allows; in a
/// figure that creeps the short bow is light and quick; before a stroke that starts at the wrong place the bow
/// is set or creeps there; what goes the wrong way is turned or lifted. What the composer asks of the sound,
/// and what was separate joined, only when all that fails. The numbers are assumed.
fn reluctance(change: Change, trouble: Trouble) -> f64 {
    match (change, trouble) {
        (Change::NoRetake | Change::FreePlace, _) => 0.0,
        // As much as the bar that it turns upside down.
        (Change::Inside, Trouble::TooLong { divided: true }) => -1.0,
        (Change::Split, Trouble::TooLong { divided: true }) => -0.5,
        (Change::Start | Change::Place, Trouble::TooLong { .. }) => 1.5,
        (Change::SaveBow, Trouble::TooLong { divided: false }) => 0.0,
        // Where it starts after a rest, the bow is set elsewhere: nothing else need change.
        (Change::Start | Change::Return | Change::SaveBow | Change::SpendBow, Trouble::Drift) => 0.0,
        (Change::Start | Change::Place, Trouble::Start) => 0.0,
        (Change::Turn | Change::Retake, Trouble::Way) => 0.0,
        (Change::Stroke | Change::Start, _) => 0.3,
        (Change::SaveBow | Change::SpendBow | Change::Return, _) => 0.5,
        (Change::Place, Trouble::Drift) => 1.2,
        (Change::Place, _) => 0.6,
        (Change::Hook, Trouble::Drift) => 1.0,
        (Change::Hook, _) => 1.6,
        (Change::Turn, _) => 1.0,
        (Change::Inside | Change::Split, _) => 1.0,
        (Change::Retake, _) => 1.2,
        (Change::RetakeInside, _) => 3.0,
        (Change::Softer | Change::Louder, _) => 4.0,
        (Change::Slur | Change::Portato, _) => 4.0,
        (Change::Tempo, _) => 6.0,
    }
}
