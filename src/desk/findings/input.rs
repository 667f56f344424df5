//! What the list of findings is made from.

use crate::{
    analysis::StudyId,
    desk::{
        state::{kept::Kept, now::Now},
        work::remedies::Advice,
    },
};

/// What the list is made from.
pub struct FindingsInput<'a> {
    /// The lesson and the moment.
    pub now: &'a Now,
    /// The version kept to compare with.
    pub kept: Option<&'a Kept>,
    /// What is known about the remedies of the open finding.
    pub advice: Option<&'a Advice>,
    /// The offer chosen by the keys.
    pub chosen: Option<StudyId>,
}
