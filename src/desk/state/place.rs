//! Where a lesson was left: what is found again when it is opened the next time. It belongs to whoever looks at the
//! lesson and not to the lesson, which does not change when one moves about in it; the practice tempo is in the
//! lesson.

use serde::{Deserialize, Serialize};

use crate::score::EventId;

use super::view::{Drawer, Stage, Told};

/// Where a lesson was left.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Place {
    /// The part of its score, where one file holds several.
    pub part: String,
    /// The bar of the playhead, by its index.
    pub bar: usize,
    /// What was shown large.
    pub stage: Stage,
    /// What the list at the right told.
    pub told: Told,
    /// What was shown in the place of the bow.
    pub drawer: Option<Drawer>,
    /// The open finding: the stable id of its kind, and its note.
    pub finding: Option<(String, EventId)>,
}
