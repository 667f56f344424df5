//! A tone in steps and in words a pupil understands.

use super::{
    judge::{Keeps, ToneNote},
    string::PLAYING_SPAN,
};

/// Lanes of the sounding point from the bridge (0) to the fingerboard. Five lanes are common
/// practice; they divide the playing span in equal ratios.
pub const LANES: usize = 5;
/// Steps of the weight from light (0) to heavy; mf is the middle. Assumed.
pub const WEIGHTS: usize = 5;
/// Ratio from one step of weight to the next: five steps from pp to ff. Assumed.
const WEIGHT_STEP: f64 = 1.6;

/// Names of the lanes.
const LANE_WORDS: [&str; LANES] = [
    "close to the bridge",
    "nearer the bridge than the fingerboard",
    "half way between bridge and fingerboard",
    "nearer the fingerboard than the bridge",
    "at the end of the fingerboard",
];
/// Names of the weights.
const WEIGHT_WORDS: [&str; WEIGHTS] = ["very light", "light", "medium weight", "heavy", "very heavy"];

/// A change against the usual, in steps of words.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Shift {
    /// Much less: below about half.
    MuchLess,
    /// Less: below about three quarters.
    Less,
    /// A little less.
    LittleLess,
    /// As usual, within about an eighth.
    Same,
    /// A little more.
    LittleMore,
    /// More.
    More,
    /// Much more.
    MuchMore,
}

impl Shift {
    /// The step of a ratio. The borders are assumed, and alike in both directions.
    pub fn of(ratio: f64) -> Self {
        const BORDERS: [f64; 3] = [1.12, 1.35, 1.9];
        let size = BORDERS.iter().filter(|border| ratio.max(1.0 / ratio) >= **border).count();
        match (size, ratio < 1.0) {
            (0, _) => Self::Same,
            (1, true) => Self::LittleLess,
            (2, true) => Self::Less,
            (_, true) => Self::MuchLess,
            (1, false) => Self::LittleMore,
            (2, false) => Self::More,
            (_, false) => Self::MuchMore,
        }
    }

    /// "a little lighter", with the words for less and more; none for no change.
    fn words(self, less: &str, more: &str) -> Option<String> {
        Some(match self {
            Self::Same => return None,
            Self::LittleLess => format!("a little {less}"),
            Self::LittleMore => format!("a little {more}"),
            Self::Less => less.to_owned(),
            Self::More => more.to_owned(),
            Self::MuchLess => format!("much {less}"),
            Self::MuchMore => format!("much {more}"),
        })
    }
}

impl ToneNote {
    /// Lane of a sounding point, 0 at the bridge.
    pub fn lane(point: f64) -> usize {
        let (near, far) = PLAYING_SPAN;
        let share = (point / near).ln() / (far / near).ln();
        ((share * LANES as f64) as usize).min(LANES - 1)
    }

    /// Step of a weight on this note's strings, 0 the lightest; the usual weight at mf is the middle.
    pub fn weight_step(&self, weight_n: f64) -> usize {
        let steps = (weight_n / self.mf_weight_n).ln() / WEIGHT_STEP.ln();
        (WEIGHTS as f64 / 2.0 + steps).clamp(0.0, WEIGHTS as f64 - 1.0) as usize
    }

    /// Speed against the usual, as a change.
    pub fn speed_shift(&self) -> Shift {
        Shift::of(self.planned.speed_mm_per_s / self.usual.speed_mm_per_s)
    }

    /// Sounding point against the usual, as a change: less is nearer the bridge.
    pub fn point_shift(&self) -> Shift {
        Shift::of(self.planned.point / self.usual.point)
    }

    /// Weight against the usual, as a change.
    pub fn weight_shift(&self) -> Shift {
        Shift::of(self.planned.weight_n / self.usual.weight_n)
    }

    /// Where the bow lies, in words: "half way between bridge and fingerboard".
    pub fn place_words(&self) -> &'static str {
        LANE_WORDS[Self::lane(self.planned.point)]
    }

    /// How heavy the bow lies, in words.
    pub fn weight_words(&self) -> &'static str {
        WEIGHT_WORDS[self.weight_step(self.planned.weight_n)]
    }

    /// What to do other than usual at this dynamic: "a little nearer the bridge, lighter". Empty
    /// where nothing changes.
    pub fn advice(&self) -> String {
        let point = self.point_shift().words("nearer the bridge", "nearer the fingerboard");
        let weight = self.weight_shift().words("lighter", "heavier");
        point.into_iter().chain(weight).collect::<Vec<_>>().join(", ")
    }

    /// What goes wrong, in a sentence; none where all is well.
    pub fn trouble(&self) -> Option<&'static str> {
        match (self.choked, self.keeps) {
            (true, Keeps::Softer) => {
                Some("The bow is too slow for this dynamic: softer, and lighter, or the sound is pressed")
            }
            (true, _) => Some("The usual weight would press the sound here: lighter"),
            (false, Keeps::Softer) => {
                Some("The bow is too slow for this dynamic even close to the bridge: it will sound softer")
            }
            (false, Keeps::Louder) => {
                Some("The bow is too fast for this dynamic even at the fingerboard: it will stick out")
            }
            (false, Keeps::Kept) => None,
        }
    }

    /// How much of the weight the bow gives by itself at this place.
    pub fn hand_words(&self) -> &'static str {
        match self.planned.weight_n / self.resting_n.max(1e-9) {
            share if share < 0.7 => "the hand carries part of the bow",
            share if share < 1.4 => "the bow's own weight is enough",
            share if share < 4.0 => "add weight from the arm",
            _ => "add much weight from the arm",
        }
    }
}
