//! The body of the instrument: a few of its resonances, the same for all strings.

use std::f64::consts::TAU;

use crate::setup::Family;

/// How a family sounds.
struct Timbre {
    /// The resonances: Hz, dB, and how narrow (Q).
    resonances: [(f64, f64, f64); 4],
    /// Below it the body gives little, Hz.
    lowest_hz: f64,
    /// Above it a string at mf gives little, Hz.
    bright_hz: f64,
}

/// The air and the two strongest plates of the violin, and the hill of its bridge: frequencies from memory of
/// published measurements (near 280, 460, 550 and 2500 Hz); those of the others are scaled by what their
/// makers tell of body and air (from memory), heights and widths are assumed, low enough that no note stands
/// out.
fn timbre(family: Family) -> Timbre {
    match family {
        Family::Violin => Timbre {
            resonances: [(280.0, 4.0, 4.0), (460.0, 3.0, 5.0), (550.0, 4.0, 5.0), (2500.0, 7.0, 1.2)],
            lowest_hz: 170.0,
            bright_hz: 3200.0,
        },
        Family::Viola => Timbre {
            resonances: [(220.0, 4.0, 4.0), (350.0, 3.0, 5.0), (430.0, 4.0, 5.0), (1900.0, 7.0, 1.2)],
            lowest_hz: 110.0,
            bright_hz: 2500.0,
        },
        Family::Cello => Timbre {
            resonances: [(100.0, 4.0, 4.0), (175.0, 3.0, 5.0), (210.0, 4.0, 5.0), (1200.0, 6.0, 1.0)],
            lowest_hz: 55.0,
            bright_hz: 1900.0,
        },
        Family::DoubleBass => Timbre {
            resonances: [(65.0, 4.0, 4.0), (100.0, 3.0, 5.0), (130.0, 4.0, 5.0), (800.0, 6.0, 1.0)],
            lowest_hz: 35.0,
            bright_hz: 1200.0,
        },
    }
}

/// Where the brightness of a string at mf ends, Hz.
pub(super) fn bright_hz(family: Family) -> f64 {
    timbre(family).bright_hz
}

/// A filter with two poles and two zeros.
#[derive(Clone, Copy, Debug, Default)]
struct Filter {
    b: [f32; 3],
    a: [f32; 2],
    kept: [f32; 2],
}

impl Filter {
    /// Scaled so that the first coefficient is 1.
    fn new(b: [f64; 3], a: [f64; 3]) -> Self {
        let scaled = |value: f64| (value / a[0]) as f32;
        Self { b: b.map(scaled), a: [scaled(a[1]), scaled(a[2])], kept: [0.0; 2] }
    }

    /// A resonance (Bristow-Johnson, Audio EQ Cookbook, peaking).
    fn peak(rate: f64, (hz, db, q): (f64, f64, f64)) -> Self {
        let w = TAU * hz / rate;
        let (height, alpha) = (10.0_f64.powf(db / 40.0), w.sin() / (2.0 * q));
        Self::new(
            [1.0 + alpha * height, -2.0 * w.cos(), 1.0 - alpha * height],
            [1.0 + alpha / height, -2.0 * w.cos(), 1.0 - alpha / height],
        )
    }

    /// Less below a frequency (the same, high pass).
    fn from(rate: f64, hz: f64) -> Self {
        let w = TAU * hz / rate;
        let alpha = w.sin() / std::f64::consts::SQRT_2;
        let edge = (1.0 + w.cos()) / 2.0;
        Self::new([edge, -2.0 * edge, edge], [1.0 + alpha, -2.0 * w.cos(), 1.0 - alpha])
    }

    fn turn(&mut self, sample: f32) -> f32 {
        let out = self.b[0] * sample + self.kept[0];
        self.kept[0] = self.b[1] * sample - self.a[0] * out + self.kept[1];
        self.kept[1] = self.b[2] * sample - self.a[1] * out;
        out
    }
}

/// The resonances of a body.
#[derive(Clone, Debug)]
pub struct Body {
    filters: [Filter; 5],
}

impl Body {
    /// The body of an instrument of this family.
    pub fn new(family: Family, rate: f64) -> Self {
        let timbre = timbre(family);
        let mut filters = [Filter::from(rate, timbre.lowest_hz); 5];
        for (filter, resonance) in filters[1..].iter_mut().zip(timbre.resonances) {
            *filter = Filter::peak(rate, resonance);
        }
        Self { filters }
    }

    /// Lets a block through.
    pub fn turn(&mut self, block: &mut [f32]) {
        for sample in block {
            *sample = self.filters.iter_mut().fold(*sample, |sample, filter| filter.turn(sample));
        }
        // What has rung out is nothing: the least numbers would take long to count with.
        for kept in self.filters.iter_mut().flat_map(|filter| &mut filter.kept) {
            if kept.abs() < 1e-15 {
                *kept = 0.0;
            }
        }
    }
}
