//! The order in which remedies are offered.

use std::collections::BTreeMap;

use crate::{
    analysis::Study,
    bowing::{Finding, Kind},
};

use super::{
    case::is_loud,
    offer::{Remedy, SAME},
    outcome::Outcome,
    reach::{Reach, seconds},
    trial::{Change, Trial},
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
    let mut kept: Vec<Remedy> = kept.into_iter().map(|(_, remedy)| remedy).collect();
    // What all of them do tells none from the others.
    if let [first, rest @ ..] = &kept[..]
        && !rest.is_empty()
        && rest.iter().all(|other| other.also == first.also)
    {
        let also = first.also.clone();
        kept.iter_mut().for_each(|remedy| remedy.effect = remedy.effect.replacen(&also, "", 1));
    }
    kept
}

/// What only moves the trouble comes after what eases it, and another tempo after what does either.
fn last(remedy: &Remedy) -> (bool, bool) {
    (remedy.outcome >= Outcome::Moves, remedy.other_tempo())
}

/// How late it is offered: how late a teacher thinks of such a change, what is lost elsewhere, what stays, and how
/// far it reaches. What it gains elsewhere counts a little: it is tried for this finding.
fn late(remedy: &Remedy) -> f64 {
    let trial = &remedy.trial;
    let of = |change: Change| reluctance(change, remedy.trouble);
    let softer = if remedy.is_thin { of(Change::Softer) } else { 0.0 };
    let second = trial.and.map_or(0.0, |and| of(and).max(TWO_CHANGES));
    let stays = (STAYS * remedy.stays_at as f64).min(MOST_STAYS);
    let eases = if remedy.cures() { 0.0 } else { EASES.0 + EASES.1 * remedy.left + misses(remedy) };
    // Of what is done alike at several places one is looked at.
    let price = remedy.price / trial.places as f64;
    price.clamp(-MOST_GAIN, f64::INFINITY) + eases + softer + of(trial.change) + second + stays + far(remedy)
}

/// A bow longer than the hair is not mended by what only eases it, unless that divides it.
fn misses(remedy: &Remedy) -> f64 {
    let too_long = matches!(remedy.trouble, Trouble::TooLong { .. });
    if too_long && !divides(&remedy.trial) { STILL_TOO_LONG } else { 0.0 }
}

/// It makes two bows or more of one.
fn divides(trial: &Trial) -> bool {
    matches!(trial.change, Change::Inside | Change::Split)
}

/// What it weighs that a change is far from the spot, of many notes, turns what comes before, or makes the bow
/// longer that lacks hair.
fn far(remedy: &Remedy) -> f64 {
    let (reach, trial) = (&remedy.reach, &remedy.trial);
    let bars = (FAR_BAR * reach.bars_off.saturating_sub(NEAR_BARS) as f64).min(MOST_FAR);
    let notes = reach.notes / trial.places;
    let notes = (A_NOTE * notes.saturating_sub(FEW_NOTES) as f64).min(MOST_NOTES);
    let turns = if reach.turned_from.is_some() { TURNS_BEFORE } else { 0.0 };
    let divided = divides(trial) && matches!(remedy.trouble, Trouble::TooLong { .. });
    let uneven = if divided { UNEVEN * (reach.longest_part - 0.5).max(0.0) } else { 0.0 };
    // Where the bow is set anyway it is set the other way for nothing.
    let set = trial.change == Change::Turn && reach.at_lift && reach.bars_off == 0;
    let abrupt = if trial.change == Change::Return && reach.abrupt { ABRUPT } else { 0.0 };
    let hurried = if reach.hurried { HURRIED } else { 0.0 };
    bars + notes + turns + uneven + abrupt + hurried - if set { AT_A_LIFT } else { 0.0 }
}

/// What only eases counts this much, and so much more the more of the trouble is left. Assumed: what makes up half
/// of what is missing without another mark is taken before a bowing is changed.
const EASES: (f64, f64) = (0.3, 1.4);

/// What leaves a bow longer than the hair counts so much more. Assumed: more than any mark for another bow.
const STILL_TOO_LONG: f64 = 3.0;

/// A lift for which a quick note has to give up its end counts so much more. Assumed.
const HURRIED: f64 = 2.5;

/// Each bar between the change and the spot counts this, beyond those that are in view with it, and all together at
/// most that. Assumed.
const NEAR_BARS: usize = 1;
const FAR_BAR: f64 = 0.25;
const MOST_FAR: f64 = 2.0;

/// Each note beyond a few that is played otherwise counts this, and all together at most that. Assumed.
const A_NOTE: f64 = 0.05;
const FEW_NOTES: usize = 4;
const MOST_NOTES: f64 = 1.0;

/// Bows before the change that go the other way. Assumed: more than any change at the spot.
const TURNS_BEFORE: f64 = 2.5;

/// A quick bow back on what is too short, or loud and marked short, counts so much more. Assumed: as much as a hook,
/// which is what one does there.
const ABRUPT: f64 = 1.5;

/// A turn where the bow is lifted before the spot counts so much less. Assumed.
const AT_A_LIFT: f64 = 0.7;

/// By how much the longer of the parts of a divided bow passes the half counts this many times. Assumed.
const UNEVEN: f64 = 2.0;

/// A bow that lacks hair is not made longer by more than this part by joining notes to it. Assumed: a short note of
/// a figure may be hooked to it.
const LONGER: f64 = 0.25;

/// Of two changes at once the second counts at least this. Assumed.
const TWO_CHANGES: f64 = 1.0;

/// What a remedy gains beside its finding counts at most this. Assumed.
const MOST_GAIN: f64 = 0.5;

/// Each further place where the finding stays counts this, and all together at most that. Assumed: what is done alike
/// at all places comes before the same at one, which who has learnt it may carry over.
const STAYS: f64 = 0.2;
const MOST_STAYS: f64 = 1.0;

/// A single stroke of so many seconds is too long for one bow rather than too fast, s. Assumed.
const LONG_S: f64 = 3.5;

/// What a finding is about, as far as it decides what a teacher tries first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Trouble {
    /// A stroke longer than the bow, wherever it starts: so long that it is divided, or only to be saved.
    TooLong { divided: bool },
    /// A figure that carries the bow away, until it lacks hair or not.
    Drift { lacks: bool },
    /// A stroke that starts at the wrong place.
    Start,
    /// A bow that goes the wrong way.
    Way,
    /// Anything else.
    Other,
}

impl Trouble {
    /// A change that is none for this trouble: it makes the bow longer that lacks hair, or leaves the bow going the
    /// wrong way, or with none of its own.
    pub fn is_missed_by(self, trial: &Trial, reach: &Reach) -> bool {
        let joins = |change: Change| matches!(change, Change::Hook | Change::Portato | Change::Slur);
        match self {
            Self::TooLong { .. } | Self::Start | Self::Drift { lacks: true } => {
                (joins(trial.change) || trial.and.is_some_and(joins)) && reach.longer > 1.0 + LONGER
            }
            Self::Way => reach.same_way || reach.joined,
            Self::Drift { lacks: false } | Self::Other => false,
        }
    }

    pub fn of(study: &Study, finding: &Finding) -> Self {
        match finding.kind {
            Kind::NoWayHair | Kind::NearSlowest => Self::TooLong { divided: true },
            Kind::RunsOutDrift | Kind::RunsOutStart if is_very_long(study, finding) => {
                Self::TooLong { divided: true }
            }
            Kind::RunsOutStroke => {
                let analysis = study.analysis();
                let stroke = analysis.stroke_of_event(finding.event);
                Self::TooLong { divided: stroke.is_some_and(|stroke| seconds(analysis, stroke) >= LONG_S) }
            }
            Kind::RunsOutDrift => Self::Drift { lacks: true },
            Kind::Creep | Kind::SlurParity | Kind::ToneThin => Self::Drift { lacks: false },
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
            | Kind::ShortRetake => Self::Other,
        }
    }
}

/// A loud bow so long that it is divided whatever comes before it, or a soft one, s. Assumed.
const LOUD_S: f64 = 5.0;
const SOFT_S: f64 = 12.0;

/// The bow of a finding lasts so long that a teacher divides it.
fn is_very_long(study: &Study, finding: &Finding) -> bool {
    let analysis = study.analysis();
    let Some(stroke) = analysis.stroke_of_event(finding.event) else { return false };
    let loud = analysis.stroke(stroke).notes.clone().any(|k| is_loud(analysis, k));
    seconds(analysis, stroke) >= if loud { LOUD_S } else { SOFT_S }
}

/// How late a teacher thinks of a change, for each strong beat on an up-bow 1.5. The order is common
/// practice, no source: a long note is changed where it is tied, a slur divided where the phrase allows; in a
/// figure that creeps the short bow is light and quick; before a stroke that starts at the wrong place the bow
/// is set or creeps there; what goes the wrong way is turned or lifted. What the composer asks of the sound,
/// and what was separate joined, only when all that fails. The numbers are assumed.
fn reluctance(change: Change, trouble: Trouble) -> f64 {
    match (change, trouble) {
        // What nobody wrote is questioned first.
        (Change::NoHook, Trouble::Start | Trouble::Other) => 0.3,
        (Change::NoHook | Change::NoRetake, _) => -0.3,
        (Change::FreePlace, _) => 0.0,
        // As much as the bar that it turns upside down.
        (Change::Inside, Trouble::TooLong { divided: true }) => -1.0,
        (Change::Split, Trouble::TooLong { divided: true }) => -0.5,
        (Change::Start | Change::Place, Trouble::TooLong { .. }) => 1.5,
        (Change::SaveBow, Trouble::TooLong { divided: false }) => 0.0,
        // Where it starts after a rest, the bow is set elsewhere: nothing else need change.
        (Change::Return, Trouble::Drift { .. }) => -0.5,
        (Change::Start, Trouble::Drift { .. }) => 0.0,
        (Change::SaveBow, Trouble::Drift { .. }) => 0.2,
        (Change::Start, Trouble::Start) => 0.0,
        (Change::Return, Trouble::Start) => 0.7,
        (Change::Turn | Change::Retake, Trouble::Way) => 0.0,
        (Change::Stroke | Change::Start, _) => 0.3,
        (Change::SaveBow | Change::Return, _) => 0.5,
        (Change::Place, Trouble::Drift { .. }) => 1.2,
        (Change::Place, _) => 0.6,
        (Change::Hook, Trouble::Drift { .. }) => 1.0,
        (Change::Hook, _) => 1.6,
        (Change::Turn, _) => 1.0,
        // A bow that would do from another place is hardly divided.
        (Change::Inside, Trouble::Drift { .. }) => 3.0,
        (Change::Inside, _) => 2.0,
        // A slur that fits a bow is divided only where little else helps.
        (Change::Split, Trouble::TooLong { divided: false }) => 1.0,
        (Change::Split, _) => 3.0,
        (Change::Retake, _) => 1.2,
        (Change::RetakeInside, _) => 3.0,
        (Change::Softer, _) => 6.0,
        (Change::Slur | Change::Portato, _) => 4.0,
        (Change::Tempo, _) => 7.0,
    }
}
