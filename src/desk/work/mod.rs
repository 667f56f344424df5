//! Work in the background, each for one study: remedies for findings, the search for a bowing, the
//! tempo ladder, what to take care of. What comes for another study than the one on the desk is dropped.

mod calm;
pub mod care;
pub mod job;
pub mod ladder;
pub mod remedies;
pub mod search;

use crate::analysis::{Study, StudyId};

pub use care::CareWork;
pub use ladder::LadderWork;
pub use remedies::Remedies;
pub use search::Search;

/// All that goes on in the background.
#[derive(Default)]
pub struct Work {
    /// Remedies for the findings that are looked at.
    pub remedies: Remedies,
    /// The search for a bowing.
    pub search: Search,
    /// The tempo ladder.
    pub ladder: LadderWork,
    /// What to take care of.
    pub care: CareWork,
}

impl Work {
    /// The study an offer leads to.
    pub fn offered(&self, id: StudyId) -> Option<&Study> {
        let remedy = self.remedies.leading_to(id).map(|remedy| &remedy.study);
        remedy.or_else(|| self.search.leading_to(id).map(|answer| &answer.study))
    }
}
