//! What the music is played with and by whom: instrument, bow, player and school.
//!
//! Starting values come from the catalogue in `assets/catalogue.ron`, where each has its source
//! or the word "assumed". Every number in a [`Setup`] has its row in one table
//! ([`Setup::figures_mut`]): its name, unit, range and origin.
//!
//! ```
//! use elbowroom::setup::{Family, Section, Setup};
//!
//! let mut setup = Setup::for_family(Family::Cello);
//! for mut figure in setup.section_mut(Section::Bow) {
//!     println!("{} {} {}", figure.name, figure.value(), figure.unit.kept);
//!     if figure.name == "playable hair" {
//!         figure.set(580.0);
//!     }
//! }
//! assert_eq!(setup.bow.hair_mm, 580.0);
//! assert!(setup.problems().is_empty());
//! setup.instrument.roll_deg = f64::NAN;
//! assert!(setup.problems()[0].starts_with("turned to the bow hand"));
//! ```

mod body;
mod catalogue;
mod figure;
mod growth;
mod hold;
mod instrument;
mod leanings;
mod player;
mod positions;
mod rules;
mod school;
mod table;
#[cfg(test)]
mod table_tests;

pub use body::{Body, Origin, Part, Posture, Proportions};
pub use catalogue::{Catalogue, Size, USUAL_IMPEDANCE, size_words};
pub use figure::{Figure, Section, Unit};
pub use growth::{AGES, Chart, Lms, Sex, median_stature_mm};
pub use hold::{ArmSchool, BowHold, Hold};
pub use instrument::{Bridge, Family, Instrument, OpenString};
pub use leanings::Leanings;
pub use player::{Bow, Player};
pub use positions::Positions;
pub use rules::Rules;
pub use school::{Approach, School, StrokeHabit, WeightForTwo};
pub use table::TEMPO_SHARE;

use serde::{Deserialize, Serialize};

use crate::score::{Dynamic, StrokeType};

/// A calm stroke lasts so long, s. Assumed.
pub const CALM_S: f64 = 2.0;

/// Everything a plan depends on besides the notes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    /// Instrument.
    pub instrument: Instrument,
    /// Bow.
    pub bow: Bow,
    /// Player.
    pub player: Player,
    /// Choices on which schools differ, and the figures the plan starts from.
    pub school: School,
    /// The player's body.
    #[serde(default)]
    pub body: Body,
    /// How the instrument is held; none: as is usual for it.
    #[serde(default)]
    pub hold: Option<Hold>,
    /// Instrument and bow change hands: everything is flipped left to right.
    #[serde(default)]
    pub left_handed: bool,
    /// Practice tempo as a share of the marked tempo (1 is the marked tempo).
    pub tempo_share: f64,
}

/// How much lower the shoulders of a standing bass player are than when upright, as a share of the stature:
/// a trunk leaned forward by 17 degrees and knees bent by 8. Assumed.
const LEAN_SHARE: f64 = 0.025;

impl Setup {
    /// How the instrument is held.
    pub fn held(&self) -> Hold {
        self.hold.clone().unwrap_or_else(|| Hold::usual(self.instrument.family))
    }

    /// Height of the player's shoulders above the floor, mm. Whoever stands at a bass leans over it, with
    /// soft knees.
    pub fn shoulder_above_floor_mm(&self) -> f64 {
        let posture = self.held().posture;
        let leans = self.instrument.family == Family::DoubleBass && posture == Posture::Standing;
        let lower = if leans { LEAN_SHARE * self.body.stature_mm() } else { 0.0 };
        self.body.shoulder_above_floor_mm(posture) - lower
    }

    /// Hair this player uses, mm from the frog: (from, to). Never empty: where the figures
    /// contradict each other the whole hair is used.
    pub fn usable_mm(&self) -> (f64, f64) {
        self.usable_up_to_mm(self.player.tip_mark_mm)
    }

    /// [`Self::usable_mm`] with another tip mark.
    pub fn usable_up_to_mm(&self, tip_mark_mm: Option<f64>) -> (f64, f64) {
        let hair = self.bow.hair_mm;
        let lo = self.player.frog_margin_mm.clamp(0.0, hair);
        let tip = tip_mark_mm.unwrap_or(hair).min(hair - self.player.tip_margin_mm);
        if tip - lo > 1.0 { (lo, tip) } else { (0.0, hair) }
    }

    /// Slowest speed under control, mm/s.
    pub fn slowest_mm_per_s(&self) -> f64 {
        self.bow.hair_mm / self.player.slowest_whole_bow_s
    }

    /// Fastest speed under control, mm/s.
    pub fn fastest_mm_per_s(&self) -> f64 {
        self.bow.hair_mm / self.player.fastest_whole_bow_s
    }

    /// Wanted bow speed of the shortest strokes for a level on the scale of [`Dynamic`] (0 ppp to 7 fff),
    /// mm/s; between two marks interpolated in the logarithm of the speed.
    pub fn short_stroke_mm_per_s(&self, level: f64) -> f64 {
        between_marks(&self.school.short_stroke_mm_per_s, level)
    }

    /// Hair that the longest strokes come near to for a level (0 ppp to 7 fff), as a share of the usable
    /// hair; between two marks interpolated in its logarithm.
    pub fn long_stroke_hair(&self, level: f64) -> f64 {
        between_marks(&self.school.long_stroke_hair, level)
    }

    /// Wanted bow speed of a calm stroke of [`CALM_S`] for a level (0 ppp to 7 fff), mm/s.
    pub fn speed_mm_per_s(&self, level: f64) -> f64 {
        let (from, to) = self.usable_mm();
        let moved = self.short_stroke_mm_per_s(level) * CALM_S * CALM_S / (CALM_S + self.school.change_s);
        moved / (1.0 + moved / (self.long_stroke_hair(level) * (to - from))) / CALM_S
    }

    /// Where strokes without another home lie for a level (0 ppp to 7 fff), as a share of the hair from frog
    /// 0 to tip 1; between two marks interpolated in its logarithm.
    pub fn place(&self, level: f64) -> f64 {
        between_marks(&self.school.place, level)
    }

    /// Usual sounding point for a level (0 ppp to 7 fff), as a share of the sounding length; between
    /// two marks interpolated in its logarithm.
    pub fn sounding_point(&self, level: f64) -> f64 {
        between_marks(&self.school.sounding_point, level)
    }

    /// Usual weight of the bow for a level (0 ppp to 7 fff) on a string of [`USUAL_IMPEDANCE`], N; between two
    /// marks interpolated in its logarithm.
    pub fn weight_n(&self, level: f64) -> f64 {
        between_marks(&self.school.weight_n, level)
    }

    /// The habit of a stroke type.
    pub fn habit(&self, stroke: StrokeType) -> StrokeHabit {
        let plain = StrokeHabit { stroke, sounding: 1.0, speed: 1.0, travels: true, home: None };
        // A lesson saved before there was this type has no line for it.
        let known = self.school.strokes.iter().chain(&Catalogue::builtin().school.strokes);
        known.into_iter().find(|habit| habit.stroke == stroke).cloned().unwrap_or(plain)
    }

    /// What is wrong with the figures, one sentence each; empty when a plan can be made.
    pub fn problems(&self) -> Vec<String> {
        // The table hands out places to write to; a copy lends them.
        let mut copy = self.clone();
        let mut problems: Vec<String> = copy.figures_mut().iter().filter_map(Figure::problem).collect();
        if self.player.fastest_whole_bow_s >= self.player.slowest_whole_bow_s {
            problems.push("the fastest whole bow must take less time than the slowest".to_owned());
        }
        problems.extend(self.instrument.problem());
        problems
    }
}

/// Value at a level between two marks, interpolated in the logarithm.
fn between_marks(values: &[f64; 8], level: f64) -> f64 {
    let level = level.clamp(0.0, (Dynamic::ALL.len() - 1) as f64);
    let below = level.floor() as usize;
    let above = (below + 1).min(Dynamic::ALL.len() - 1);
    let share = level - below as f64;
    (values[below].ln() * (1.0 - share) + values[above].ln() * share).exp()
}
