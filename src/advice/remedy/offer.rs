//! A change that was tried, as it is offered.

use crate::analysis::{Study, StudyId};

use super::{
    super::standing::Standing,
    outcome::{Outcome, SAME_MM},
    rank::Trouble,
    reach::Reach,
    trial::{Change, Trial},
};

/// A change that was tried: what it leaves.
#[derive(Clone, Debug)]
pub struct Remedy {
    /// The change.
    pub trial: Trial,
    /// The lesson after it, and what is known about that.
    pub study: Study,
    /// How the lesson stood.
    pub before: Standing,
    /// How it stands after the change.
    pub after: Standing,
    /// What became of the finding.
    pub outcome: Outcome,
    /// Further places of the finding where it is still told.
    pub stays_at: usize,
    /// By how much more hair is missing in all than before, mm.
    pub(super) missing_mm: f64,
    /// Titles of findings that were not there before, those worse than a notice.
    pub new_findings: Vec<String>,
    /// Marks of the bowing, dynamics, places and speeds that differ.
    pub marks_changed: usize,
    /// One short sentence on what it leaves.
    pub effect: String,
    /// By how much the lesson is worse after it than before, as bowings of the same notes are judged
    /// ([`Standing::weight`]); what was asked for before it stays asked for.
    pub worse: f64,
    /// The same without what the finding itself weighed in its stroke and weighs there, and where else it is gone.
    pub(super) price: f64,
    /// What it is for.
    pub(super) trouble: Trouble,
    /// What goes with the finding, as the effect says it.
    pub(super) also: String,
    /// How far it reaches.
    pub(super) reach: Reach,
    /// How much of the finding is left at its spot, 0 to 1.
    pub(super) left: f64,
    /// Some of it sounds softer than marked.
    pub(super) is_thin: bool,
}

/// Two judgements closer than this rank alike; then fewer changed marks are better. Assumed.
pub(super) const SAME: f64 = 0.1;
/// More changed marks than this are much for one spot. Assumed.
const NEAR: usize = 6;

impl Remedy {
    /// Tells it from every other remedy, wherever it stands in a list.
    pub fn id(&self) -> StudyId {
        self.study.id()
    }

    /// Nothing of the finding is left in its stroke, and nothing as bad came up anywhere.
    pub fn cures(&self) -> bool {
        self.outcome == Outcome::Cures
    }

    /// Nothing more cannot be played, no more hair is missing in all, and it cures or eases. What
    /// leaves the finding as it is, or something worse for it, does not help, however much it eases
    /// others.
    pub fn helps(&self) -> bool {
        let (before, after) = (&self.before, &self.after);
        // What can be played at last may well run out: more hair is missing then than before.
        let playable = after.impossible < before.impossible;
        let missing = if playable { 0.0 } else { self.missing_mm };
        let lighter = self.worse < -SAME / 2.0;
        after.impossible <= before.impossible
            && missing < SAME_MM
            && match self.outcome {
                Outcome::Cures => after.runs_out <= before.runs_out || lighter || missing < -SAME_MM,
                Outcome::Eases | Outcome::Moves => lighter || missing < -SAME_MM,
                Outcome::Worsens | Outcome::Leaves => false,
            }
    }

    /// It cures by a change of what is near.
    pub(super) fn cures_plainly(&self) -> bool {
        let plain = !(self.other_tempo() || self.is_wide() || self.lifts_inside());
        self.cures() && self.helps() && plain
    }

    /// It changes the whole piece, and eases more than the spot it is for.
    pub(super) fn other_tempo(&self) -> bool {
        self.trial.change == Change::Tempo
    }

    /// It changes much of the music for one spot: a teacher first tries what is near.
    pub(super) fn is_wide(&self) -> bool {
        self.marks_changed > NEAR && !self.trial.everywhere
    }

    /// It breaks a slur by lifting the bow.
    pub(super) fn lifts_inside(&self) -> bool {
        self.trial.change == Change::RetakeInside
    }
}
