//! Which changes are tried for which kind of finding: what a teacher would try first. All common
//! practice, no source; none is told before an analysis of the changed lesson has shown its effect.

use crate::bowing::{Finding, Kind, Verdict};

use super::{
    case::Case,
    makers::{
        double::doubles,
        dynamic::dynamics,
        inside::changes_in_a_note,
        join::joins,
        place::{
            far_for_soft, far_for_sudden_soft, free_places, home_of_hook, home_of_stroke, near_for_accent,
            near_for_chord, near_for_crossing, near_for_loud, places,
        },
        retake::{chords_down, no_retake, retakes},
        returns::returns,
        speed::speeds,
        split::{splits, splits_before},
        stroke::{faster_stroke, on_the_string, slower_stroke},
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
    proposals.filter_map(|proposal| Trial::of(study.lesson(), proposal)).collect()
}

/// Too little hair, or too much: unbalanced figures and long slurs.
const HAIR: &[Maker] = &[
    splits,
    changes_in_a_note,
    joins,
    no_retake,
    retakes,
    turns,
    places,
    speeds,
    returns,
    dynamics,
    tempos,
    doubles,
];

/// Who makes the changes to try for a finding, in this order.
fn makers(finding: &Finding) -> &'static [Maker] {
    match finding.kind {
        // The finding itself says what would work; no bowing helps.
        Kind::OutOfHand => &[],
        Kind::ShortRetake => &[no_retake, joins, turns, slower],
        _ if finding.verdict < Verdict::Notice => HAIR,
        Kind::FirstBeatUp => &[turns],
        Kind::UpbeatDown => &[turns, retakes, joins],
        Kind::StrongBeatsUp => &[turns, splits_before, retakes, joins],
        Kind::ChordUp => &[chords_down, retakes, joins, splits_before, turns],
        Kind::CrescendoDown | Kind::DiminuendoUp => &[turns, splits_before, splits, joins, retakes, doubles],
        Kind::ChordPlace => &[near_for_chord, chords_down, free_places, retakes, joins, splits_before, turns],
        Kind::AccentPlace => {
            &[near_for_accent, chords_down, free_places, retakes, joins, splits_before, turns]
        }
        Kind::LoudAtTip => &[near_for_loud, chords_down, free_places, retakes, joins, splits_before, turns],
        Kind::SoftAtFrog | Kind::SoftEntry => &[far_for_soft, free_places, retakes, joins, turns],
        Kind::SuddenSoft => &[far_for_sudden_soft, free_places, retakes, joins, turns],
        Kind::CrossingFarOut => &[near_for_crossing, free_places, retakes, joins, turns],
        Kind::StringSkipped => &[splits, retakes],
        Kind::BouncePlace | Kind::TremoloPlace | Kind::MartelePlace | Kind::StrokePlace => {
            &[home_of_stroke, free_places, on_the_string, retakes]
        }
        Kind::HookPlace => &[home_of_hook, free_places, splits],
        Kind::SpiccatoFast => &[faster_stroke, slower],
        Kind::SautilleSlow => &[slower_stroke, faster],
        Kind::StartPlace => &[places],
        Kind::SlurShares => &[splits, places, retakes, dynamics],
        Kind::SplitSlur => &[splits, dynamics],
        Kind::ToneThin | Kind::ToneChoked => &[splits, changes_in_a_note, retakes, dynamics],
        Kind::NoWayHair
        | Kind::NoWayPlace
        | Kind::NoWayLift
        | Kind::RunsOutDrift
        | Kind::RunsOutStroke
        | Kind::RunsOutStart
        | Kind::TightSlow
        | Kind::TightFast
        | Kind::TightPlace
        | Kind::SpeedJump
        | Kind::NearSlowest
        | Kind::Rush
        | Kind::Creep
        | Kind::FastReturn
        | Kind::SlurParity => HAIR,
    }
}
