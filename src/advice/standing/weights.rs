//! What each thing weighs against the cost of a plan.

use crate::bowing::Verdict;

/// What one finding of each verdict weighs against the cost of a plan. Assumed: what cannot be
/// played outweighs everything, a run-out outweighs any bending of speeds.
const IMPOSSIBLE: f64 = 100.0;
const RUNS_OUT: f64 = 10.0;
const TIGHT: f64 = 1.0;
const NOTICE: f64 = 0.5;
/// Part of its weight that a finding has however little is heard of it. Assumed.
const UNHEARD: f64 = 0.3;
/// A strong beat on an up-bow, and a hairpin against the bow. Assumed.
pub(in crate::advice) const STRONG_BEAT: f64 = 0.3;
pub(in crate::advice) const HAIRPIN: f64 = 0.3;

/// A mark that differs from what was there. Assumed.
pub(in crate::advice) const MARK: f64 = 0.1;
/// What speaks against the directions, for each strong beat on an up-bow ([`crate::setup::Leanings`]), where
/// bowings of the same notes are compared. Assumed: a player rather bends a few speeds than turns a bar
/// upside down.
pub(in crate::advice) const LEANING: f64 = 1.5;
/// A printed bow mark or retake that is not followed. Assumed: more than a bar turned upside down gains.
pub(in crate::advice) const UNMARKED: f64 = 3.0;

/// A note that is joined or divided otherwise than the like one before it, where both were alike. Assumed: a player
/// rather bows a whole figure anew, wherever it stands.
pub(super) const UNLIKE: f64 = 0.6;

/// What a finding weighs that is heard so plainly, 0 to 1.
pub(in crate::advice) fn told_weight(verdict: Verdict, heard: f64) -> f64 {
    let most = match verdict {
        Verdict::Impossible => IMPOSSIBLE,
        Verdict::RunsOut => RUNS_OUT,
        Verdict::Tight => TIGHT,
        Verdict::Notice => NOTICE,
    };
    most * (UNHEARD + (1.0 - UNHEARD) * heard.min(1.0))
}
