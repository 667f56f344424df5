//! A bowed string: what the bow does becomes the height of a sawtooth, which the string follows with its
//! own time.

use crate::{
    setup::Family,
    sound::{Begins, Ends, Manner, Tone},
};

use super::{STEP, body::bright_hz, drone::passes, saw::Saws};

/// Height of a tone at mf. Assumed: leaves room for fff, and for two strings and a click.
const MF: f64 = 0.2;
/// What a string keeps while the bow turns: it rings on. Assumed: a soft dent of some 10 dB.
const DENT: f64 = 0.2;
/// What a pulse of portato leaves, and how long it takes, s. Assumed.
const PULSE: f64 = 0.35;
const PULSE_S: f64 = 0.07;
/// How fast the string follows: a bow that is set, one that goes on, one that stops on the string, s. Attacks
/// of trained players are over in some 50 ms (Guettler and Askenfelt 1997, from memory); the rest is assumed.
const SET_S: f64 = 0.016;
const GOES_ON_S: f64 = 0.006;
const STOPS_S: f64 = 0.012;
/// How long a string rings that the bow leaves for the next one, s, of 196 Hz. Assumed.
const LEFT_S: f64 = 0.025;
/// How fast a new pitch on the same string is reached, s. Assumed.
const FINGER_S: f64 = 0.006;
/// An accent is gone after this time, s, and makes the start up to so much louder. Assumed.
const ACCENT_S: f64 = 0.12;
const ACCENT: f64 = 1.2;
/// The bite of a martelé: how much louder, how long, s, and what stays after it. Assumed.
const BITE: f64 = 1.4;
const BITE_S: f64 = 0.04;
const AFTER_BITE: f64 = 0.6;
/// How long an open string of 196 Hz rings when the bow leaves it, and when it is plucked, s; higher ones
/// shorter, as the root of the frequency. Assumed.
const RINGS_S: f64 = 0.22;
const PLUCKED_S: f64 = 0.6;
const RINGS_HZ: f64 = 196.0;
/// How much brighter a step of the dynamics is, in octaves. Assumed; that more weight gives a brighter tone is
/// measured (Schelleng 1973, from memory).
const BRIGHTER: f64 = 0.3;
/// The noise of the hair against the tone. Assumed.
const HAIR: f32 = 0.012;
/// Below it nothing is heard.
const SILENCE: f32 = 1e-5;

/// What a string is to do in a step.
#[derive(Clone, Copy, Debug)]
pub struct Drive<'a> {
    /// The tone; none where the string is let alone.
    pub tone: Option<&'a Tone>,
    /// Position in the music, s.
    pub position_s: f64,
    /// Seconds of the music in a second; above 0.
    pub speed: f64,
    /// Loudness of the music against mf, dB.
    pub db: f64,
    /// Level of the dynamics.
    pub level: f64,
    /// The time a turn of the bow takes, s.
    pub turn_s: f64,
}

/// What the bow asks of the string: how high, how fast it gets there, and how much brighter.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bow {
    /// Height against that of the dynamic.
    pub height: f64,
    /// How fast the string follows, s.
    pub follows_s: f64,
    /// How much brighter than the dynamic, as a factor.
    pub bright: f64,
}

impl Bow {
    /// What the bow does with a tone, so many seconds after it began and before it ends.
    pub fn at(tone: &Tone, into_s: f64, left_s: f64, speed: f64, turn_s: f64) -> Self {
        let rings_s = (RINGS_HZ / tone.hz.max(20.0)).sqrt();
        if left_s <= 0.0 {
            let follows_s = match tone.ends {
                Ends::Rings => RINGS_S * rings_s,
                Ends::Slurred | Ends::Turns => LEFT_S * rings_s,
                Ends::Stops => STOPS_S,
            };
            return Self { height: 0.0, follows_s, bright: 1.0 };
        }
        let struck = 1.0 + ACCENT * tone.accent * (-into_s / ACCENT_S).exp();
        let starts_s = match tone.begins {
            Begins::Set | Begins::Stopped if into_s < 3.0 * SET_S => SET_S,
            _ => GOES_ON_S,
        };
        let plain = Self { height: struck, follows_s: starts_s, bright: 1.0 };
        match tone.manner {
            Manner::Plucked => {
                let dies = (-into_s / (PLUCKED_S * rings_s)).exp();
                Self { height: 2.0 * struck * dies, follows_s: 0.0015, bright: 0.35 + 0.8 * dies }
            }
            Manner::Bounces => {
                let share = into_s / (into_s + left_s);
                let height = 1.5 * struck * (std::f64::consts::PI * share.sqrt()).sin();
                Self { height, follows_s: GOES_ON_S, bright: 1.0 }
            }
            Manner::Bites => {
                let bite = (-into_s / BITE_S).exp();
                Self { height: struck * (AFTER_BITE + BITE * bite), follows_s: 0.004, bright: 1.0 + bite }
            }
            Manner::Trembles(hz) => {
                let turned = (std::f64::consts::PI * hz * speed * into_s).sin().abs();
                Self { height: struck * (DENT + (1.0 - DENT) * turned.min(0.7) / 0.7), ..plain }
            }
            Manner::Even => {
                let half_s = (turn_s / 2.0).max(0.005);
                let rises = |at_s: f64| DENT + (1.0 - DENT) * (at_s / half_s).clamp(0.0, 1.0);
                let mut height = struck;
                match tone.begins {
                    Begins::Turns => height *= rises(into_s),
                    Begins::Pulsed => {
                        height *= PULSE + (1.0 - PULSE) * (into_s / PULSE_S).clamp(0.0, 1.0);
                    }
                    Begins::Set | Begins::Slurred | Begins::Stopped => {}
                }
                if tone.ends == Ends::Turns {
                    height *= rises(left_s);
                }
                Self { height, ..plain }
            }
        }
    }
}

/// A string.
#[derive(Clone, Copy, Debug)]
pub struct Voice {
    hz: f64,
    phase: f64,
    height: f32,
    ended: Option<Bow>,
    kept: [f32; 2],
    /// Where the noise is.
    noise: u32,
}

impl Voice {
    /// A string at rest.
    pub const REST: Self =
        Self { hz: 0.0, phase: 0.0, height: 0.0, ended: None, kept: [0.0; 2], noise: 0x2545_F491 };

    /// It does not sound.
    pub fn is_over(&self) -> bool {
        self.height == 0.0
    }

    /// Adds a block of at most [`STEP`] samples.
    pub fn add(&mut self, drive: &Drive<'_>, family: Family, saws: &Saws, rate: f64, block: &mut [f32]) {
        let bow = match drive.tone {
            Some(tone) => {
                let into_s = (drive.position_s - tone.at_s) / drive.speed;
                let left_s = (tone.until_s - drive.position_s) / drive.speed;
                if self.is_over() || into_s < 0.0 || tone.begins == Begins::Set && into_s * rate < STEP as f64
                {
                    self.hz = tone.hz;
                }
                let mut bow = Bow::at(tone, into_s.max(0.0), left_s, drive.speed, drive.turn_s);
                bow.height *= MF * 10.0_f64.powf((drive.db + tone.db) / 20.0);
                self.ended = Some(Bow::at(tone, 0.0, 0.0, drive.speed, drive.turn_s));
                bow
            }
            None if self.is_over() => return,
            None => self.ended.unwrap_or(Bow { height: 0.0, follows_s: STOPS_S, bright: 1.0 }),
        };
        let wanted_hz = drive.tone.map_or(self.hz, |tone| tone.hz);
        let slides = 1.0 - (-1.0 / (FINGER_S * rate)).exp();
        let follows = (1.0 - (-1.0 / (bow.follows_s * rate)).exp()) as f32;
        let bright = bright_hz(family) * (BRIGHTER * (drive.level - 4.0)).exp2() * bow.bright;
        // Even a soft high tone has its first partials.
        let through = passes(bright.max(2.0 * self.hz), rate);
        let period = saws.period(self.hz.max(wanted_hz));
        let wanted = bow.height as f32;
        for sample in &mut *block {
            self.hz += (wanted_hz - self.hz) * slides;
            self.phase = (self.phase + self.hz / rate).fract();
            self.height += (wanted - self.height) * follows;
            // Marsaglia, Xorshift RNGs, 2003.
            self.noise ^= self.noise << 13;
            self.noise ^= self.noise >> 17;
            self.noise ^= self.noise << 5;
            let hiss = HAIR * (self.noise as f32 / u32::MAX as f32 - 0.5);
            let wave = (Saws::at(period, self.phase) + hiss) * self.height;
            self.kept[0] += through * (wave - self.kept[0]);
            self.kept[1] += through * (self.kept[0] - self.kept[1]);
            *sample += self.kept[1];
        }
        if drive.tone.is_none() && self.height < SILENCE {
            (self.height, self.kept) = (0.0, [0.0; 2]);
        }
    }
}
