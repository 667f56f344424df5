//! Which changes are tried for which kind of finding: what a teacher would try first. All common
//! practice, no source; none is told before an analysis of the changed lesson has shown its effect.

use crate::bowing::{Finding, Kind, Verdict};

use super::{
    case::Case,
    makers::{
        double::doubles,
        dynamic::softer,
        inside::changes_in_a_note,
        join::joins,
        own::{no_hooks, no_retakes},
        place::{free_places, near_for_chord, near_for_crossing, places},
        retake::{chords_down, no_retake, retakes},
        returns::returns,
        speed::speeds,
        split::{splits, splits_before},
        stroke::{faster_stroke, slower_stroke},
        tempo::{faster, slower, tempos},
        turn::turns,
    },
    trial::{Proposal, Trial},
};
use crate::analysis::Study;

/// Proposes changes for a finding.
type Maker = fn(&Case) -> Vec<Proposal>;

/// The candidate changes for one finding; cheap, nothing is analysed. Single changes come first,
/// then two at once. Settled bowing is left alone.
pub fn trials(study: &Study, finding: &Finding) -> Vec<Trial> {
    let Some(case) = Case::of(study, finding) else { return Vec::new() };
    let proposals = makers(finding).iter().flat_map(|make| make(&case));
    proposals.filter_map(|proposal| Trial::of(study, proposal)).collect()
}

/// Too little hair, or too much: unbalanced figures and long slurs.
const HAIR: &[Maker] = &[
    no_hooks,
    no_retakes,
    splits,
    changes_in_a_note,
    joins,
    no_retake,
    retakes,
    turns,
    places,
    speeds,
    returns,
    softer,
    tempos,
    doubles,
];

/// Who makes the changes to try for a finding, in this order.
fn makers(finding: &Finding) -> &'static [Maker] {
    match finding.kind {
        // The finding itself says what would work; no bowing helps.
        Kind::OutOfHand => &[],
        Kind::ShortRetake => &[no_retake, turns, slower],
        _ if finding.verdict < Verdict::Notice => HAIR,
        Kind::FirstBeatUp => &[turns],
        Kind::UpbeatDown => &[no_hooks, no_retakes, turns, retakes, joins],
        Kind::StrongBeatsUp => &[no_hooks, no_retakes, turns, splits_before, retakes, joins],
        Kind::ChordUp => &[no_hooks, no_retakes, chords_down, retakes, joins, splits_before, turns],
        Kind::ChordPlace => &[near_for_chord, chords_down, free_places, retakes, joins, splits_before, turns],
        Kind::CrossingFarOut => &[near_for_crossing, free_places, splits, retakes, joins, turns],
        Kind::SpiccatoFast => &[faster_stroke, slower],
        Kind::SautilleSlow => &[slower_stroke, faster],
        Kind::ToneThin => &[no_hooks, no_retakes, returns, joins, turns, changes_in_a_note, retakes, splits],
        Kind::NoWayHair
        | Kind::NoWayPlace
        | Kind::NoWayLift
        | Kind::RunsOutDrift
        | Kind::RunsOutStroke
        | Kind::RunsOutStart
        | Kind::TightSlow
        | Kind::TightFast
        | Kind::TightPlace
        | Kind::NearSlowest
        | Kind::Rush
        | Kind::Creep
        | Kind::SlurParity => HAIR,
    }
}
