//! One note: which sounding point keeps the dynamic, and whether the weight fits there.

use crate::setup::{Setup, USUAL_IMPEDANCE, WeightForTwo};

use super::string::{
    BRIDGE_RESISTANCE, FRICTION_STEP, PLAYING_SPAN, least_force_n, level_change_db, most_force_n, resting_n,
};

/// A dynamic that is off by less counts as kept, dB. Assumed: about the least step heard in music.
const KEPT_DB: f64 = 1.5;

/// How a note is bowed, in plain numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Asked {
    /// Strings it sounds on (1 the highest), each with its height above the open string in half
    /// steps (0 for an open string or a harmonic). One, or two for a double stop.
    pub strings: Vec<(u8, f64)>,
    /// Level on the scale of the dynamics, 0 ppp to 7 fff.
    pub level: f64,
    /// Speed the note asks for, mm/s.
    pub wanted_mm_per_s: f64,
    /// Ratio of the planned to the wanted speed.
    pub ratio: f64,
    /// Middle of the note on the hair, mm from the frog.
    pub place_mm: f64,
}

/// Speed, sounding point and weight.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tone {
    /// Speed of the bow, mm/s.
    pub speed_mm_per_s: f64,
    /// Sounding point: distance from the bridge as a share of the sounding length.
    pub point: f64,
    /// Weight the arm and the bow together put on the strings, N.
    pub weight_n: f64,
}

/// Weights from the soft lower to the firm upper limit, N, for all strings together.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Span {
    /// Below it the tone may lose its core. Soft.
    pub least_n: f64,
    /// Above it the tone is pressed.
    pub most_n: f64,
}

/// Whether the sounding point can keep the dynamic.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Keeps {
    /// Within what is heard.
    Kept,
    /// Softer than the dynamic, however near the bridge.
    Softer,
    /// Louder than the dynamic, however near the fingerboard.
    Louder,
}

/// What a note asks of speed, sounding point and weight.
#[derive(Clone, Debug, PartialEq)]
pub struct ToneNote {
    /// Strings it sounds on, 1 the highest.
    pub strings: Vec<u8>,
    /// Level on the scale of the dynamics, 0 ppp to 7 fff.
    pub level: f64,
    /// As the dynamic alone would have it.
    pub usual: Tone,
    /// With the planned speed. The weight is the usual one, or less where the bow runs faster or
    /// the limit is lower.
    pub planned: Tone,
    /// Sounding point from the bridge on this instrument, mm.
    pub point_mm: f64,
    /// Weights with a good tone at the planned speed and point.
    pub limits: Span,
    /// The usual weight would be too much at the planned speed and point.
    pub choked: bool,
    /// Planned against usual loudness, dB; about 0 where the sounding point keeps the dynamic.
    pub level_db: f64,
    /// The same as a verdict.
    pub keeps: Keeps,
    /// What the weight is measured by: the usual weight of these strings at mf, N.
    pub mf_weight_n: f64,
    /// Weight with which the bow alone rests there, N.
    pub resting_n: f64,
}

/// Judges one note. The result holds finite numbers for every input.
///
/// Planned at `r` times the wanted speed, the dynamic is kept where the sounding point moves by the
/// same factor, since loudness follows speed over distance from the bridge. Held within the playing
/// span, what is left over is lost or gained loudness. Neither limit of the weight changes by that
/// at first; a faster bow is taken lighter all the same (common practice: otherwise it bumps).
pub fn judge(setup: &Setup, asked: &Asked) -> ToneNote {
    let ratio = finite(asked.ratio, 1.0).clamp(1e-3, 1e3);
    let wanted = finite(asked.wanted_mm_per_s, 1.0).clamp(1e-3, 1e5);
    let level = finite(asked.level, 4.0);
    let point = finite(setup.sounding_point(level), 0.1).clamp(1e-3, 0.9);
    let held = (point * ratio).clamp(PLAYING_SPAN.0.min(point), PLAYING_SPAN.1.max(point));
    let strings: Vec<Sounding> = asked.strings.iter().map(|string| Sounding::new(setup, *string)).collect();
    let count = strings.len().max(1) as f64;
    let shared = match setup.school.weight_for_two {
        WeightForTwo::SharedArm => count,
        WeightForTwo::SamePerString => 1.0,
    };
    // A thick string takes more weight. As the root of its impedance: assumed, between "all alike"
    // and the limits, which grow in proportion.
    let mean = |value: &dyn Fn(&Sounding) -> f64| {
        if strings.is_empty() { 1.0 } else { strings.iter().map(value).sum::<f64>() / count }
    };
    let thickness = mean(&|string| (string.impedance / USUAL_IMPEDANCE).sqrt());
    let arm_n = |level: f64| (finite(setup.weight_n(level), 1.0) * thickness * count / shared).max(1e-6);
    // A stroke that is slower than the dynamic alone is lighter in proportion: the limits are.
    let slower = finite(wanted / setup.speed_mm_per_s(level), 1.0).min(1.0);
    let usual = Tone { speed_mm_per_s: wanted, point, weight_n: arm_n(level) * slower };
    let speed = wanted * ratio;
    // Where one bow lies on two strings the mean length counts for the place, the tighter string for
    // the limits.
    let length_mm = mean(&|string| string.length_mm);
    let point_mm = held * length_mm;
    let (mut least, mut most) = (0.0_f64, f64::INFINITY);
    for string in &strings {
        let limits = string.limits(point_mm, speed);
        most = most.min(count * limits.most_n);
        least = least.max(count * limits.least_n);
    }
    if strings.is_empty() {
        most = usual.weight_n * 2.0;
    }
    let choked = usual.weight_n > most;
    let lighter = usual.weight_n * ratio.max(1.0).powf(-0.5);
    let planned = Tone { speed_mm_per_s: speed, point: held, weight_n: lighter.min(most) };
    let level_db = level_change_db((wanted, point), (speed, held));
    let keeps = match level_db {
        db if db < -KEPT_DB => Keeps::Softer,
        db if db > KEPT_DB => Keeps::Louder,
        _ => Keeps::Kept,
    };
    let Setup { bow, .. } = setup;
    ToneNote {
        strings: asked.strings.iter().map(|(string, _)| *string).collect(),
        level,
        usual,
        planned,
        point_mm,
        limits: Span { least_n: least, most_n: most },
        choked,
        level_db,
        keeps,
        mf_weight_n: arm_n(4.0),
        resting_n: resting_n(
            bow.mass_g / 1000.0,
            bow.balance_mm / 1000.0,
            finite(asked.place_mm, bow.hair_mm / 2.0) / 1000.0,
        ),
    }
}

fn finite(value: f64, otherwise: f64) -> f64 {
    if value.is_finite() { value } else { otherwise }
}

/// A string as it sounds.
pub(super) struct Sounding {
    impedance: f64,
    length_mm: f64,
}

impl Sounding {
    pub fn new(setup: &Setup, (string, half_steps): (u8, f64)) -> Self {
        let instrument = &setup.instrument;
        let height = finite(half_steps, 0.0).clamp(0.0, 60.0);
        Self {
            impedance: instrument.impedance_kg_per_s(usize::from(string).saturating_sub(1)),
            // Equal temperament: each half step shortens the string by a twelfth root of two.
            length_mm: instrument.string_length_mm * (-height / 12.0).exp2(),
        }
    }

    /// Weights with a good tone for a bow this far from the bridge, mm, at this speed, mm/s.
    pub fn limits(&self, point_mm: f64, speed_mm_per_s: f64) -> Span {
        let beta = (point_mm / self.length_mm.max(1.0)).clamp(1e-3, 0.9);
        let v = speed_mm_per_s / 1000.0;
        let r = BRIDGE_RESISTANCE * self.impedance;
        Span {
            least_n: least_force_n(self.impedance, v, beta, FRICTION_STEP, r),
            most_n: most_force_n(self.impedance, v, beta, FRICTION_STEP),
        }
    }
}
