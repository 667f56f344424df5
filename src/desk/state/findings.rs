//! Which finding is open, and how the list of findings is shown.

use crate::{
    analysis::Analysis,
    bowing::{Finding, Kind, Verdict, ranked},
    score::EventId,
};

/// More rules of thumb than this are folded at first. Assumed.
const MANY_NOTICES: usize = 3;

/// Names a finding from one analysis to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Which {
    /// The kind of finding.
    pub kind: Kind,
    /// Its note.
    pub event: EventId,
}

impl Which {
    /// The name of a finding.
    pub fn of(finding: &Finding) -> Self {
        Self { kind: finding.kind, event: finding.event }
    }

    /// Its place in the list of an analysis.
    pub fn index(self, analysis: &Analysis) -> Option<usize> {
        analysis.findings.told.iter().position(|finding| Self::of(finding) == self)
    }
}

/// How the list is shown.
#[derive(Debug, Default)]
pub struct FindingsView {
    /// The open finding.
    pub open: Option<Which>,
    /// Bring the open finding into view.
    pub reveal: bool,
    /// The pointer is over the open finding: what helps must keep its place.
    pub pointed_at: bool,
    /// In the order of the music rather than the worst first.
    pub by_time: bool,
    /// The differences from the kept version are listed instead.
    pub compared: bool,
    /// All further places of the open finding are listed.
    pub all_places: bool,
    /// The reason typed for silencing the open finding.
    pub reason: Option<String>,
    /// Rules of thumb are unfolded; none: as many as there are decide.
    pub notices: Option<bool>,
    /// Silenced findings are unfolded.
    pub silenced: bool,
}

impl FindingsView {
    /// Opens a finding.
    pub fn open(&mut self, which: Which) {
        if self.open != Some(which) {
            *self = Self { open: Some(which), reason: None, all_places: false, ..std::mem::take(self) };
        }
        self.compared = false;
        self.reveal = true;
    }

    /// Closes the open finding.
    pub fn close(&mut self) {
        (self.open, self.reason) = (None, None);
    }

    /// The list as shown, as indices: first what is listed openly, then the rules of thumb.
    pub fn order(&self, analysis: &Analysis) -> (Vec<usize>, Vec<usize>) {
        let findings = &analysis.findings.told;
        let all = if self.by_time { (0..findings.len()).collect() } else { ranked(findings) };
        all.into_iter().partition(|index| analysis.findings.told[*index].verdict != Verdict::Notice)
    }

    /// The rules of thumb are listed too.
    pub fn shows_notices(&self, notices: &[usize], analysis: &Analysis) -> bool {
        let holds_open = notices.iter().any(|i| self.open == Some(Which::of(&analysis.findings.told[*i])));
        self.notices.unwrap_or(notices.len() <= MANY_NOTICES || holds_open)
    }

    /// What one steps through, in order.
    pub fn steps(&self, analysis: &Analysis) -> Vec<usize> {
        let (mut first, notices) = self.order(analysis);
        if self.shows_notices(&notices, analysis) {
            first.extend(notices);
        }
        if self.by_time {
            first.sort_unstable();
        }
        first
    }
}
