//! What is played from a moment on.

use std::sync::Arc;

use crate::practice::{Clock, metre::Weight};

use super::Events;

/// How loud things are, as factors from 0 to 1, and which of them sound.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Levels {
    /// The click.
    pub click: f32,
    /// The tones.
    pub tone: f32,
    /// The drone.
    pub drone: f32,
    /// The least weight of a pulse that clicks.
    pub least: Weight,
    /// The note of the drone, Hz; none while there is none.
    pub drone_hz: Option<f64>,
}

/// What is played from a moment on: the music, and the clock by which it is seen.
#[derive(Clone, Debug)]
pub struct Program {
    /// The music.
    pub events: Arc<Events>,
    /// The way through it.
    pub clock: Clock,
    /// The frame of the output in which the clock begins to run, a fraction too.
    pub begins: f64,
    /// How loud.
    pub levels: Levels,
}

impl Program {
    /// The same music at the same times: what sounds can go on.
    pub(super) fn goes_on_from(&self, before: &Self) -> bool {
        Arc::ptr_eq(&self.events, &before.events)
            && self.begins == before.begins
            && self.clock == before.clock
    }
}
