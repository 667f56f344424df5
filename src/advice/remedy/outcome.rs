//! What a change does to the finding it is tried for.

use crate::{
    analysis::Analysis,
    bowing::{Finding, Verdict},
    score::EventId,
};

use super::super::difference::{Told, family};

/// What a change does to the finding it is tried for; the better comes first. Of a finding with
/// several places this is said of the first one.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Outcome {
    /// Nothing of it is left in its stroke, and nothing as bad came up anywhere.
    Cures,
    /// Less of it is left: less hair missing, or heard less.
    Eases,
    /// It is gone from its stroke, but something as bad came up.
    Moves,
    /// It is gone from its stroke, but something worse came up.
    Worsens,
    /// It is there as before, or worse.
    Leaves,
}

/// Hair missing that is no more and no less, mm. Assumed.
pub(super) const SAME_MM: f64 = 5.0;
/// How plainly something is heard, 0 to 1, that is as before. Assumed.
const SAME_HEARD: f64 = 0.05;

/// What a change leaves of a finding.
pub(super) struct Left<'a> {
    /// What of its kind is left in the stroke it was found in.
    pub here: Option<&'a Finding>,
    /// Its further places where it is still told.
    pub elsewhere: usize,
    /// Findings that were not there before: those worse than a notice, for a notice all.
    pub new: Vec<&'a Finding>,
}

impl<'a> Left<'a> {
    /// `told` is what was told before the change.
    pub fn of(told: &Told, finding: &Finding, after: &'a Analysis) -> Self {
        let at = |event: EventId| {
            let mut alike = after.findings.told.iter().filter(|left| family(left) == family(finding));
            alike.find(|left| left.events().any(|other| told.same_stroke(event, other)))
        };
        let least = finding.verdict.max(Verdict::Tight);
        let is_new = |new: &&Finding| new.events().any(|event| !told.has(new, event));
        Self {
            here: at(finding.event),
            elsewhere: finding.more.iter().filter(|spot| at(spot.event).is_some()).count(),
            new: after.findings.told.iter().filter(|new| new.verdict <= least).filter(is_new).collect(),
        }
    }

    /// The worst of what is new and as bad as the finding, or worse.
    pub fn instead(&self, finding: &Finding) -> Option<&'a Finding> {
        let as_bad = self.new.iter().filter(|new| new.verdict <= finding.verdict);
        as_bad.min_by_key(|new| (new.verdict, family(new) != family(finding), new.at)).copied()
    }

    /// What that makes of the finding.
    pub fn outcome(&self, finding: &Finding) -> Outcome {
        // Nothing is worse than another spot that cannot be played.
        if self.new.iter().any(|new| new.verdict == Verdict::Impossible) {
            return Outcome::Worsens;
        }
        match self.here {
            None => match self.instead(finding) {
                Some(new) if new.verdict < finding.verdict => Outcome::Worsens,
                Some(_) => Outcome::Moves,
                None => Outcome::Cures,
            },
            Some(here) => {
                let better = here.verdict > finding.verdict;
                let same = here.verdict == finding.verdict;
                let less = here.short_mm < finding.short_mm - SAME_MM;
                let no_more = here.short_mm < finding.short_mm + SAME_MM;
                let fainter = here.heard < finding.heard - SAME_HEARD;
                let eases = better || same && (less || no_more && fainter);
                if eases { Outcome::Eases } else { Outcome::Leaves }
            }
        }
    }
}
