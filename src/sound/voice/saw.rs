//! Sawtooth waves without what lies beyond the range of the samples.
//!
//! A bowed string pulls the bridge in a sawtooth, the n-th harmonic with the n-th part of the first
//! (Helmholtz motion; Cremer, The Physics of the Violin, from memory), so that is what the voices are made of.

use std::f64::consts::{PI, TAU};

/// Samples of a period.
const LENGTH: usize = 2048;
/// Lowest frequency that is distinguished, Hz, and the number of octaves above it.
const LOWEST_HZ: f64 = 20.0;
const OCTAVES: usize = 10;
/// The highest harmonic, as a share of the rate of samples. Assumed; what lies above is hardly heard.
const HIGHEST: f64 = 0.42;

/// A period of the wave for every octave, each with as many harmonics as fit.
#[derive(Clone, Debug)]
pub struct Saws {
    /// Each with its first sample again at the end.
    periods: Vec<Vec<f32>>,
}

impl Saws {
    /// The waves for a rate of samples, Hz.
    pub fn new(rate: f64) -> Self {
        let period = |octave: usize| {
            let top_hz = LOWEST_HZ * (octave as f64 + 1.0).exp2();
            let harmonics = ((HIGHEST * rate / top_hz) as usize).clamp(1, LENGTH / 4);
            let mut wave = vec![0.0_f64; LENGTH];
            for n in 1..=harmonics {
                // A turning pointer in place of a sine for each sample.
                let (sin, cos) = (TAU * n as f64 / LENGTH as f64).sin_cos();
                let (mut re, mut im) = (0.0, 2.0 / (PI * n as f64));
                for sample in &mut wave {
                    *sample += re;
                    (re, im) = (re * cos + im * sin, im * cos - re * sin);
                }
            }
            let first = wave[0];
            wave.into_iter().chain([first]).map(|sample| sample as f32).collect()
        };
        Self { periods: (0..OCTAVES).map(period).collect() }
    }

    /// The period for a frequency, Hz.
    pub fn period(&self, hz: f64) -> &[f32] {
        let octave = (hz / LOWEST_HZ).max(1.0).log2() as usize;
        &self.periods[octave.min(OCTAVES - 1)]
    }

    /// The sample of a period at a phase from 0 to 1.
    pub fn at(period: &[f32], phase: f64) -> f32 {
        let place = phase * LENGTH as f64;
        let index = (place as usize).min(LENGTH - 1);
        let share = (place - index as f64) as f32;
        period[index] + (period[index + 1] - period[index]) * share
    }
}
