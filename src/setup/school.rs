//! Choices on which schools differ, and the figures a plan starts from.

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use super::{ArmSchool, Leanings, Rules};
use crate::score::StrokeType;

/// How double stops are weighted; teachers differ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize, EnumCount, VariantArray)]
pub enum WeightForTwo {
    /// The arm gives the weight of one note, and the two strings share it.
    #[default]
    SharedArm,
    /// Each string gets the weight of one note: the arm gives about double.
    SamePerString,
}

impl WeightForTwo {
    /// What the two strings do, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::SharedArm => "share the weight of one arm",
            Self::SamePerString => "get the same weight each",
        }
    }
}

/// When the arm starts for the next string where the bow does not stop; schools differ (common
/// practice).
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize, EnumCount, VariantArray,
)]
pub enum Approach {
    /// It nears the next string before the change.
    #[default]
    Gradual,
    /// It holds its level until the change.
    AtTheChange,
}

impl Approach {
    /// What the arm does, in words.
    pub fn words(self) -> &'static str {
        match self {
            Self::Gradual => "nears it before the change",
            Self::AtTheChange => "holds its level until the change",
        }
    }
}

/// Choices and starting figures of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct School {
    /// Wanted bow speed of the shortest strokes for ppp, pp, p, mp, mf, f, ff, fff, mm/s. Longer ones are
    /// slower: a stroke of `t` seconds takes `v t / (1 + v t / a)`.
    #[serde(default = "usual_speeds")]
    pub short_stroke_mm_per_s: [f64; 8],
    /// Hair that the longest strokes come near to (`a` there) for ppp to fff, as a share of the usable hair.
    #[serde(default = "usual_hair")]
    pub long_stroke_hair: [f64; 8],
    /// Time that a bow change takes from a stroke, s.
    #[serde(default = "usual_change")]
    pub change_s: f64,
    /// Where strokes without another home lie for ppp to fff, as a share of the hair, frog 0 to tip 1.
    #[serde(default = "usual_places")]
    pub place: [f64; 8],
    /// What each stroke type does to the hair and where it lives.
    pub strokes: Vec<StrokeHabit>,
    /// Speed at which the lifted bow is moved through the air, mm/s.
    pub air_speed_mm_per_s: f64,
    /// Time a lift takes besides moving, s.
    pub set_time_s: f64,
    /// Time taken from the end of the note before a retake that has no rest, s.
    pub retake_time_s: f64,
    /// A plan that leaves the wanted speed by more than this ratio (or its inverse) is tight.
    pub tight_ratio: f64,
    /// A corridor narrower than this is tight, mm.
    pub tight_width_mm: f64,
    /// Weight of keeping the wanted speed.
    pub speed_weight: f64,
    /// Weight of being near the preferred place.
    pub place_weight: f64,
    /// Weight of even speed inside a stroke.
    pub even_in_stroke: f64,
    /// Weight of even speed across a bow change without accent.
    pub even_across_turn: f64,
    /// Weight against moving the lifted bow without cause.
    pub lift_weight: f64,
    /// How much faster the bow begins for an accent, over half a second, as a share of the speed of the
    /// shortest strokes; for a sharp one (sf, fp, a strong accent) twice that.
    pub accent_extra: f64,
    /// Hair for a grace note, as seconds at the speed in force.
    pub grace_s: f64,
    /// Below the marked tempo every note keeps the hair it has at the marked tempo, so that what is
    /// practised slowly is the same movement; otherwise the wanted speed is kept.
    #[serde(default = "yes")]
    pub slow_keeps_hair: bool,
    /// How double stops are weighted.
    #[serde(default)]
    pub weight_for_two: WeightForTwo,
    /// Usual sounding point for ppp to fff: distance from the bridge as a share of the sounding
    /// length.
    #[serde(default = "usual_points")]
    pub sounding_point: [f64; 8],
    /// Usual weight of the bow on a string of [`super::USUAL_IMPEDANCE`] (a violin's D string) for ppp to fff, N.
    #[serde(default = "usual_weights")]
    pub weight_n: [f64; 8],
    /// What speaks for a down-bow or an up-bow where the notation leaves it open.
    #[serde(default)]
    pub leanings: Leanings,
    /// Rules of thumb by which a bowing is judged.
    #[serde(default)]
    pub rules: Rules,
    /// How the arm is shaped.
    #[serde(default)]
    pub arm: ArmSchool,
    /// When the arm starts for the next string in a legato bow.
    #[serde(default)]
    pub approach: Approach,
}

fn yes() -> bool {
    true
}

// Read from files of a time when there was no such figure.
fn usual_speeds() -> [f64; 8] {
    School::default().short_stroke_mm_per_s
}

fn usual_hair() -> [f64; 8] {
    School::default().long_stroke_hair
}

fn usual_change() -> f64 {
    School::default().change_s
}

fn usual_places() -> [f64; 8] {
    School::default().place
}

fn usual_points() -> [f64; 8] {
    School::default().sounding_point
}

fn usual_weights() -> [f64; 8] {
    School::default().weight_n
}

/// What a stroke type does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StrokeHabit {
    /// The stroke.
    pub stroke: StrokeType,
    /// Sounding part of the written length during which the bow moves, 0 to 1.
    pub sounding: f64,
    /// Factor on the wanted speed.
    pub speed: f64,
    /// The bow travels (false: it returns to where it was).
    pub travels: bool,
    /// Home region as shares of the hair, frog 0 to tip 1, where it has one.
    #[serde(default)]
    pub home: Option<(f64, f64)>,
}
