//! What a change does to the finding it is tried for.

use crate::{
    analysis::Study,
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

/// What is left counts for this part where it is of a better verdict. Assumed.
const LESS_BAD: f64 = 0.3;

/// A bow that gets so nearly the same part of what it wants is as tight as before. Assumed.
const SAME_PART: f64 = 0.1;

/// The part of what it wants that the bow gets which holds a note.
fn part(study: &Study, event: EventId) -> Option<f64> {
    let analysis = study.analysis();
    let notes = analysis.stroke(analysis.stroke_of_event(event)?).notes.clone();
    let of = |mm: &dyn Fn(usize) -> f64| notes.clone().map(mm).sum::<f64>();
    let wanted = of(&|k| analysis.piece(k).wanted_travel_mm());
    (wanted > 0.0).then(|| of(&|k| analysis.plan.used_mm(k)) / wanted)
}

/// The bow runs out in the stroke that holds a note, so that a player feels it.
fn runs_out(study: &Study, event: EventId) -> bool {
    let (analysis, rules) = (study.analysis(), &study.lesson().setup.school.rules);
    let stroke = analysis.stroke_of_event(event).map(|stroke| &analysis.stroke(stroke).notes);
    stroke.and_then(|notes| analysis.plan.run_out(notes)).is_some_and(|spot| spot.is_felt(rules))
}

/// What a change leaves of a finding.
pub(super) struct Left<'a> {
    /// What of its kind is left in the stroke it was found in.
    pub here: Option<&'a Finding>,
    /// Its further places where it is still told.
    pub elsewhere: usize,
    /// Findings that were not there before: those worse than a notice, for a notice all.
    pub new: Vec<&'a Finding>,
    /// Other findings worse than a notice that were there before and are gone from every place.
    pub gone: Vec<&'a Finding>,
}

impl<'a> Left<'a> {
    /// `told` is what was told before the change.
    pub fn of(told: &Told, finding: &Finding, (was, is): (&'a Study, &'a Study)) -> Self {
        let (before, after) = (was.analysis(), is.analysis());
        let at = |event: EventId| {
            let mut alike = after.findings.told.iter().filter(|left| family(left) == family(finding));
            alike.find(|left| left.events().any(|other| told.same_stroke(event, other)))
        };
        let least = finding.verdict.max(Verdict::Tight);
        let still = Told::new(after);
        let is_gone = |other: &&Finding| {
            other.event != finding.event && !other.events().any(|event| still.has(other, event))
        };
        let serious = before.findings.told.iter().filter(|other| other.verdict < Verdict::Notice);
        // What ran out before, told with another or not, is not new.
        let ran_out = |new: &Finding, event| new.verdict == Verdict::RunsOut && runs_out(was, event);
        // What was told for a hair less before is not new either.
        let as_tight = |new: &Finding, event| {
            let parts = part(was, event).zip(part(is, event));
            new.verdict == Verdict::Tight && parts.is_some_and(|(was, is)| (was - is).abs() < SAME_PART * was)
        };
        let known =
            |new: &Finding, event| told.has(new, event) || ran_out(new, event) || as_tight(new, event);
        let is_new = |new: &&Finding| new.events().any(|event| !known(new, event));
        Self {
            here: at(finding.event),
            elsewhere: finding.more.iter().filter(|spot| at(spot.event).is_some()).count(),
            new: after.findings.told.iter().filter(|new| new.verdict <= least).filter(is_new).collect(),
            gone: serious.filter(is_gone).collect(),
        }
    }

    /// The worst of what is new and as bad as the finding, or worse.
    pub fn instead(&self, finding: &Finding) -> Option<&'a Finding> {
        let as_bad = self.new.iter().filter(|new| new.verdict <= finding.verdict);
        as_bad.min_by_key(|new| (new.verdict, family(new) != family(finding), new.at)).copied()
    }

    /// How much of the finding is left in its stroke, 0 to 1.
    pub fn part(&self, finding: &Finding) -> f64 {
        let Some(here) = self.here else { return 0.0 };
        if here.verdict > finding.verdict {
            return LESS_BAD;
        }
        let part = |now: f64, then: f64| if then > 0.0 { (now / then).clamp(0.0, 1.0) } else { 1.0 };
        match finding.short_mm > 0.0 {
            true => part(here.short_mm, finding.short_mm),
            false => part(here.heard, finding.heard),
        }
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
