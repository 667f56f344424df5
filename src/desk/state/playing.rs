//! How it is played: what sounds, how it is counted in, how the rounds of a loop go. Remembered from one day
//! to the next.

use serde::{Deserialize, Serialize};

use crate::{analysis::Study, practice::CountIn, practice::Pace, score::Quarters, sound::Wishes};

/// Ranges of what can be set. Assumed.
pub const FIRST_PERCENT: (u8, u8) = (30, 100);
pub const STEP_PERCENT: (u8, u8) = (1, 20);
pub const EACH: (u8, u8) = (1, 20);
pub const COUNT_IN: u8 = 2;
pub const LATE_MS: u16 = 500;

/// How it is played.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default)]
pub struct Playing {
    /// Something sounds.
    pub is_heard: bool,
    /// What sounds.
    pub wishes: Wishes,
    /// Bars counted before playing.
    pub count_in: u8,
    /// A bar of rest is counted between two rounds of a loop.
    pub rests: bool,
    /// The rounds of a loop become faster, up to the practice tempo.
    pub grows: bool,
    /// The first round, in percent of the practice tempo.
    pub first: u8,
    /// How much faster each tempo is, in percent of the practice tempo.
    pub step: u8,
    /// Rounds at each tempo.
    pub each: u8,
    /// How much later it is heard than the sound device knows of, ms.
    pub late_ms: u16,
}

impl Default for Playing {
    fn default() -> Self {
        Self {
            is_heard: true,
            wishes: Wishes::default(),
            count_in: 0,
            rests: false,
            grows: false,
            first: 60,
            step: 5,
            each: 2,
            late_ms: 0,
        }
    }
}

impl Playing {
    /// How fast the rounds of a loop are.
    pub fn pace(&self) -> Pace {
        let share = |percent: u8| f64::from(percent) / 100.0;
        if self.grows {
            Pace { first: share(self.first), step: share(self.step), each: u32::from(self.each) }
        } else {
            Pace::EVEN
        }
    }

    /// What is counted between two rounds from a moment on, s.
    pub fn pause(&self, study: &Study, from_s: f64) -> CountIn {
        count(study, from_s, u8::from(self.rests))
    }

    /// What is counted before playing from a moment on, s.
    pub fn lead(&self, study: &Study, from_s: f64) -> CountIn {
        count(study, from_s, self.count_in)
    }
}

fn count(study: &Study, from_s: f64, bars: u8) -> CountIn {
    let analysis = study.analysis();
    let from = Quarters::from_f64(analysis.quarters_at(from_s));
    CountIn::new(&study.lesson().score, analysis, from, bars)
}
