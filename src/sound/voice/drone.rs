//! The drone: one note that stays.

use super::{STEP, saw::Saws};

/// How it comes and goes, s. Assumed.
const FADE_S: f64 = 0.12;
/// Its loudness at full volume, and where its brightness ends as a multiple of its pitch. Assumed: enough
/// partials to tune against.
const LOUD: f32 = 0.3;
const BRIGHT: f64 = 7.0;

/// The voice of the drone.
#[derive(Clone, Copy, Debug, Default)]
pub struct Drone {
    hz: f64,
    phase: f64,
    height: f32,
    kept: [f32; 2],
}

impl Drone {
    /// It does not sound.
    pub fn is_over(&self) -> bool {
        self.height == 0.0
    }

    /// Adds a block of at most [`STEP`] samples: of this note, or of its end.
    pub fn add(&mut self, hz: Option<f64>, volume: f32, saws: &Saws, rate: f64, block: &mut [f32]) {
        // Another note begins when the one before has gone.
        let stays = hz.filter(|hz| self.is_over() || *hz == self.hz);
        if let Some(hz) = stays {
            self.hz = hz;
        }
        let wanted = if stays.is_some() { LOUD * volume } else { 0.0 };
        if self.is_over() && wanted == 0.0 {
            return;
        }
        let rises = (block.len() as f64 / (FADE_S * rate)) as f32;
        let height = if wanted > self.height {
            (self.height + rises).min(wanted)
        } else {
            (self.height - rises).max(wanted)
        };
        let grows = (height - self.height) / block.len().max(1) as f32;
        let period = saws.period(self.hz);
        let passes = passes(self.hz * BRIGHT, rate);
        for sample in &mut *block {
            self.height += grows;
            self.phase = (self.phase + self.hz / rate).fract();
            let wave = Saws::at(period, self.phase);
            self.kept[0] += passes * (wave - self.kept[0]);
            self.kept[1] += passes * (self.kept[0] - self.kept[1]);
            *sample += self.kept[1] * self.height;
        }
        debug_assert!(block.len() <= STEP);
        self.height = height;
        if self.is_over() {
            self.kept = [0.0; 2];
        }
    }
}

/// How much of a change a simple low pass lets through in a sample.
pub(super) fn passes(hz: f64, rate: f64) -> f32 {
    (1.0 - (-std::f64::consts::TAU * (hz / rate).min(0.45)).exp()) as f32
}
