//! What the music is drawn from.

use egui::Rect;

use crate::{
    bowing::Density,
    desk::{
        state::{kept::Kept, now::Now, spacing::Spacing, view::View},
        work::Preview,
    },
    score::Quarters,
};

/// What the panel reads.
pub struct MusicInput<'a> {
    /// The lesson and the moment.
    pub now: &'a Now,
    /// What is chosen, and the part of the music in view.
    pub view: &'a View,
    /// Where the next typed note comes, while notes are written.
    pub caret: Option<Quarters>,
    /// The spacing of the lesson.
    pub spacing: &'a Spacing,
    /// A version shown in the place of the lesson, over the present plan.
    pub preview: Option<&'a Preview>,
    /// A plot under the music, on the same time axis.
    pub plot: Option<Rect>,
    /// How many pencil marks stand over the staff.
    pub pencil: Density,
    /// A version kept to compare with.
    pub kept: Option<&'a Kept>,
}
