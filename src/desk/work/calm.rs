//! Waiting until a lesson stands still.

use std::time::Duration;

use egui::Context;

use crate::analysis::StudyId;

/// Tells when a study has stood still for a while: a drag makes a new one every frame.
#[derive(Clone, Copy, Debug, Default)]
pub struct Calm {
    study: Option<StudyId>,
    since_s: f64,
}

impl Calm {
    /// True when this is another study than at the last call.
    pub fn is_new(&mut self, study: StudyId, now_s: f64) -> bool {
        let is_new = self.study != Some(study);
        if is_new {
            *self = Self { study: Some(study), since_s: now_s };
        }
        is_new
    }

    /// True when the study has stood still so long, s; else the window is woken when it has.
    pub fn lasts(&self, calm_s: f64, now_s: f64, ctx: &Context) -> bool {
        let calm_in = self.since_s + calm_s - now_s;
        if calm_in > 0.0 {
            ctx.request_repaint_after(Duration::from_secs_f64(calm_in));
        }
        calm_in <= 0.0
    }
}
