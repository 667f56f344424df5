//! Which changes are tried for which kind of finding: what a teacher would try first. All common
//! practice, no source; none is told before an analysis of the changed lesson has shown its effect.
//!
//! | kind of finding | changes tried |
//! |---|---|
//! | everything about too little or too much hair | split, bow change in a note, join, retake, no retake, turn, place, speed, returns, dynamic, tempo; then two at once |
//! | `short-retake` | no retake or bow mark, join, turn, slower |
//! | `first-beat-up` | turn |
//! | `upbeat-down` | turn, retake before the strong beat, join |
//! | `strong-beats-up` | turn, split the stroke before, retake, join |
//! | `chord-up` | all chords in a row down-bow, retake, join two strokes before, split the stroke before, turn |
//! | `crescendo-down`, `diminuendo-up` | turn, split the stroke before, split, join, retake; then two at once |
//! | `chord-place`, `accent-place`, `loud-at-tip` | nearer the frog, all chords in a row down-bow, free a fixed place, retake, join, split the stroke before, turn |
//! | `soft-at-frog`, `soft-entry`, `sudden-soft` | nearer the tip, free a fixed place, retake, join, turn |
//! | `crossing-far-out` | nearer the frog, free a fixed place, retake, join, turn |
//! | `string-skipped` | a new bow there, retake |
//! | `bounce-place`, `tremolo-place`, `martele-place`, `stroke-place` | into the home of the stroke, free a fixed place, another stroke, retake |
//! | `hook-place` | into the middle, free a fixed place, separate bows |
//! | `spiccato-fast`, `sautille-slow` | the other bouncing stroke, on the string, tempo |
//! | `start-place` | fix the place the plan starts from |
//! | `slur-shares` | split, free a fixed place, retake, softer |
//! | `split-slur` | split, softer |
//! | `tone-thin`, `tone-choked` | split, bow change in a note, retake, dynamic |

use crate::bowing::{Finding, Kind, Verdict};

use super::makers::Maker;

/// Makes some changes.
pub(super) type Way<'a> = fn(&mut Maker<'a>);

/// The changes to try for a finding, in this order.
pub(super) fn ways<'a>(finding: &Finding) -> Vec<Way<'a>> {
    match finding.kind {
        Kind::ShortRetake => vec![Maker::no_retake, Maker::joins, Maker::turns, Maker::slower],
        _ if finding.verdict < Verdict::Notice => hair(),
        Kind::FirstBeatUp => vec![Maker::turns],
        Kind::UpbeatDown => vec![Maker::turns, Maker::retakes, Maker::joins],
        Kind::StrongBeatsUp => vec![Maker::turns, Maker::splits_before, Maker::retakes, Maker::joins],
        Kind::ChordUp => {
            vec![Maker::chords_down, Maker::retakes, Maker::joins, Maker::splits_before, Maker::turns]
        }
        Kind::CrescendoDown | Kind::DiminuendoUp => {
            vec![
                Maker::turns,
                Maker::splits_before,
                Maker::splits,
                Maker::joins,
                Maker::retakes,
                Maker::doubles,
            ]
        }
        Kind::ChordPlace | Kind::AccentPlace | Kind::LoudAtTip => {
            vec![
                Maker::nearer,
                Maker::chords_down,
                Maker::free_places,
                Maker::retakes,
                Maker::joins,
                Maker::splits_before,
                Maker::turns,
            ]
        }
        Kind::SoftAtFrog | Kind::SoftEntry | Kind::SuddenSoft | Kind::CrossingFarOut => {
            vec![Maker::nearer, Maker::free_places, Maker::retakes, Maker::joins, Maker::turns]
        }
        Kind::StringSkipped => vec![Maker::splits, Maker::retakes],
        Kind::BouncePlace | Kind::TremoloPlace | Kind::MartelePlace | Kind::StrokePlace => {
            vec![Maker::home, Maker::free_places, Maker::other_stroke, Maker::retakes]
        }
        Kind::HookPlace => vec![Maker::home, Maker::free_places, Maker::splits],
        Kind::SpiccatoFast => vec![Maker::other_stroke, Maker::slower],
        Kind::SautilleSlow => vec![Maker::other_stroke, Maker::faster],
        Kind::StartPlace => vec![Maker::places],
        Kind::SlurShares => vec![Maker::splits, Maker::places, Maker::retakes, Maker::dynamics],
        Kind::SplitSlur => vec![Maker::splits, Maker::dynamics],
        Kind::ToneThin | Kind::ToneChoked => {
            vec![Maker::splits, Maker::changes_in_a_note, Maker::retakes, Maker::dynamics]
        }
        _ => hair(),
    }
}

/// Too little hair, or too much: unbalanced figures and long slurs.
fn hair<'a>() -> Vec<Way<'a>> {
    vec![
        Maker::splits,
        Maker::changes_in_a_note,
        Maker::joins,
        Maker::no_retake,
        Maker::retakes,
        Maker::turns,
        Maker::places,
        Maker::speeds,
        Maker::returns,
        Maker::dynamics,
        Maker::tempos,
        Maker::doubles,
    ]
}
