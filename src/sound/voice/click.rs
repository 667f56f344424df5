//! The click: two short partials that are in no key, one pair for each weight.

use std::f64::consts::TAU;

use crate::practice::metre::Weight;

/// How fast the two partials die away, s. Assumed; short enough to tell the moment.
const DECAY_S: [f64; 2] = [0.022, 0.009];
/// The second partial over the first: far from the ratios of a string. Assumed.
const SECOND: f64 = 2.756;
/// The click is over after this time, s.
const OVER_S: f64 = 0.15;

/// Pitch, Hz, and loudness of a weight. Assumed: told apart by both.
fn sound(weight: Weight) -> (f64, f32) {
    match weight {
        Weight::Bar => (1850.0, 0.5),
        Weight::Beat => (1230.0, 0.32),
        Weight::Part => (920.0, 0.13),
    }
}

/// A click that sounds, or none.
#[derive(Clone, Copy, Debug, Default)]
pub struct Click {
    /// Frames until it begins.
    waits: usize,
    /// Frames left.
    left: usize,
    /// Each partial as a turning pointer (its two parts) with what turns it by a frame.
    partials: [[f64; 4]; 2],
}

impl Click {
    /// Begins after so many frames.
    pub fn begin(&mut self, weight: Weight, volume: f32, waits: usize, rate: f64) {
        let (hz, loud) = sound(weight);
        let partial = |hz: f64, height: f64, decay_s: f64| {
            let (sin, cos) = (TAU * hz / rate).sin_cos();
            let falls = (-1.0 / (decay_s * rate)).exp();
            // Begins on its height: the moment is the first sample.
            [0.0, height, cos * falls, sin * falls]
        };
        let height = f64::from(loud * volume);
        self.partials =
            [partial(hz, 0.7 * height, DECAY_S[0]), partial(hz * SECOND, 0.3 * height, DECAY_S[1])];
        (self.waits, self.left) = (waits, (OVER_S * rate) as usize);
    }

    /// It does not sound.
    pub fn is_over(&self) -> bool {
        self.left == 0
    }

    /// Adds its samples to a block.
    pub fn add(&mut self, block: &mut [f32]) {
        let waits = self.waits.min(block.len());
        self.waits -= waits;
        for sample in block[waits..].iter_mut().take(self.left) {
            for [re, im, cos, sin] in &mut self.partials {
                *sample += *im as f32;
                (*re, *im) = (*re * *cos - *im * *sin, *re * *sin + *im * *cos);
            }
            self.left -= 1;
        }
    }
}
