//! Listening to samples.

use std::{f64::consts::TAU, sync::Arc};

use elbowroom::{
    analysis::Study,
    lesson::Lesson,
    practice::Clock,
    sound::{Events, Levels, Program, Renderer, Wishes},
};

/// Samples in a second, as most loudspeakers ask for them.
pub const RATE: u32 = 48_000;

/// Tones alone.
pub fn tones() -> Wishes {
    Wishes { click: 0, tone: 100, ..Wishes::default() }
}

/// Clicks alone.
pub fn clicks() -> Wishes {
    Wishes { click: 100, tone: 0, ..Wishes::default() }
}

/// So many seconds of a clock that plays from the first sample on.
pub fn played(study: &Study, wishes: &Wishes, clock: Clock, rate: u32, seconds: f64) -> Vec<f32> {
    let events = Arc::new(Events::new(study, &wishes.tuning(study)));
    let levels: Levels = wishes.levels(study);
    let mut renderer = Renderer::new(rate);
    renderer.play(Box::new(Program { events, clock, begins: 0.0, levels }));
    let mut samples = vec![0.0; (seconds * f64::from(rate)) as usize];
    // As a loudspeaker asks for them, in blocks of no particular size.
    samples.chunks_mut(487).for_each(|block| renderer.render(block));
    samples
}

/// A lesson played once through from its start, tones alone.
pub fn heard(lesson: Lesson) -> (Study, Vec<f32>) {
    let study = Study::new(lesson);
    let total_s = study.analysis().total_s();
    let mut clock = Clock::new(total_s);
    clock.play(0.0);
    let samples = played(&study, &tones(), clock, RATE, total_s + 0.5);
    (study, samples)
}

/// Root of the mean square of what is heard from one moment to another, dB against full.
pub fn db(samples: &[f32], from_s: f64, to_s: f64) -> f64 {
    let place = |at_s: f64| ((at_s * f64::from(RATE)) as usize).min(samples.len());
    let piece = &samples[place(from_s)..place(to_s)];
    let square: f64 = piece.iter().map(|sample| f64::from(*sample).powi(2)).sum();
    10.0 * (square / piece.len().max(1) as f64 + 1e-12).log10()
}

/// The softest few milliseconds between two moments, dB.
pub fn softest_db(samples: &[f32], from_s: f64, to_s: f64, window_s: f64) -> f64 {
    let steps = ((to_s - from_s - window_s) / 0.001) as usize;
    let at = |step: usize| from_s + step as f64 * 0.001;
    (0..=steps).map(|step| db(samples, at(step), at(step) + window_s)).fold(f64::INFINITY, f64::min)
}

/// The frequency near one that is expected, Hz: how far the phase of that partial turns between two windows
/// (the derivative of the phase is the frequency; textbook).
pub fn hz_near(samples: &[f32], at_s: f64, expected: f64) -> f64 {
    let rate = f64::from(RATE);
    let (length, apart) = ((0.2 * rate) as usize, (0.01 * rate) as usize);
    let start = (at_s * rate) as usize;
    let phase = |from: usize| {
        let (mut re, mut im) = (0.0, 0.0);
        for k in 0..length {
            let window = 0.5 - 0.5 * (TAU * k as f64 / length as f64).cos();
            let (sin, cos) = (TAU * expected * (from + k) as f64 / rate).sin_cos();
            let sample = f64::from(samples[from + k]) * window;
            re += sample * cos;
            im -= sample * sin;
        }
        im.atan2(re)
    };
    let turned = (phase(start + apart) - phase(start) + TAU * 1.5).rem_euclid(TAU) - TAU / 2.0;
    expected + turned / TAU * rate / apart as f64
}

/// How strong a partial is, dB against full.
pub fn partial_db(samples: &[f32], at_s: f64, hz: f64) -> f64 {
    let rate = f64::from(RATE);
    let (start, length) = ((at_s * rate) as usize, (0.2 * rate) as usize);
    let (mut re, mut im) = (0.0, 0.0);
    for k in 0..length {
        let window = 0.5 - 0.5 * (TAU * k as f64 / length as f64).cos();
        let (sin, cos) = (TAU * hz * k as f64 / rate).sin_cos();
        let sample = f64::from(samples[start + k]) * window;
        re += sample * cos;
        im += sample * sin;
    }
    20.0 * ((re * re + im * im).sqrt() * 4.0 / length as f64 + 1e-9).log10()
}

/// How far apart two frequencies are, cents.
pub fn cents(from: f64, to: f64) -> f64 {
    1200.0 * (to / from).log2()
}
