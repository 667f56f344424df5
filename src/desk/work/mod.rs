//! Work in the background: the analysis of the changed lesson; and each for one study, the comparison
//! with a kept version, remedies for findings, the search for a bowing, the tempo ladder, curves, what
//! to take care of, the part in words, exercises, a warm-up, the pages of the handout, a moment of a film. What comes for
//! another study than the one on the desk is dropped.

pub mod analysing;
mod calm;
pub mod care;
pub mod comparison;
pub mod curves;
pub mod exercise;
pub mod film;
pub mod handout;
pub mod job;
pub mod ladder;
pub mod preview;
pub mod remedies;
pub mod search;
pub mod sound;
pub mod warm_up;
pub mod wording;

use crate::analysis::{Study, StudyId};

pub use analysing::Analysing;
pub use care::CareWork;
pub use comparison::Comparison;
pub use curves::CurveWork;
pub use exercise::ExerciseWork;
pub use film::FilmWork;
pub use handout::HandoutWork;
pub use ladder::LadderWork;
pub use preview::{Preview, PreviewWork};
pub use remedies::Remedies;
pub use search::Search;
pub use sound::SoundWork;
pub use warm_up::WarmUpWork;
pub use wording::WordingWork;

/// All that goes on in the background.
#[derive(Default)]
pub struct Work {
    /// The analysis of the changed lesson.
    pub analysing: Analysing,
    /// The comparison with the kept version.
    pub comparison: Comparison,
    /// The curve that is looked at.
    pub curves: CurveWork,
    /// The exercise that was asked for.
    pub exercise: ExerciseWork,
    /// The parts of a warm-up.
    pub warm_up: WarmUpWork,
    /// The moment of a film that is looked at.
    pub film: FilmWork,
    /// The pages of the handout, and the page that was asked for.
    pub handout: HandoutWork,
    /// Remedies for the findings that are looked at.
    pub remedies: Remedies,
    /// The search for a bowing.
    pub search: Search,
    /// The tempo ladder.
    pub ladder: LadderWork,
    /// The version on offer that is looked at.
    pub preview: PreviewWork,
    /// What to take care of.
    pub care: CareWork,
    /// The part in words.
    pub wording: WordingWork,
    /// What is heard.
    pub sound: SoundWork,
}

impl Work {
    /// The study an offer leads to.
    pub fn offered(&self, id: StudyId) -> Option<&Study> {
        let remedy = self.remedies.leading_to(id).map(|remedy| &remedy.study);
        remedy.or_else(|| self.search.leading_to(id).map(|answer| &answer.study))
    }
}
