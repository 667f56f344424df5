//! The player's body: what the reach of the bow arm is computed from.

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use super::growth::{Chart, Sex, median_stature_mm};
use crate::score::variants;

/// Where a figure comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub enum Origin {
    /// Measured on this player.
    Measured,
    /// Published: a table, a study, or a workshop's or makers' figure.
    Published,
    /// Recalled without its source at hand.
    Memory,
    /// A starting value of our own choice.
    Assumed,
}

impl Origin {
    /// The word shown.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured => "measured",
            Self::Published => "published",
            Self::Memory => "from memory",
            Self::Assumed => "assumed",
        }
    }
}

/// Which table the unmeasured parts are taken from, as shares of the stature.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Default, Serialize, Deserialize, EnumCount, VariantArray)]
pub enum Proportions {
    /// Drillis & Contini 1966 (as quoted in Winter, Biomechanics and Motor Control of Human
    /// Movement, fig. 4.1), for anybody. For children an approximation.
    #[default]
    General,
    /// ANSUR II (2012), men: means over 4082 adults.
    Men,
    /// ANSUR II (2012), women: means over 1986 adults.
    Women,
}

/// A part of the body that the reach depends on.
#[derive(Clone, Copy, Debug, PartialEq, Eq, EnumCount, VariantArray)]
pub enum Part {
    /// Shoulder to elbow.
    UpperArm,
    /// Elbow to wrist.
    Forearm,
    /// Wrist to the tip of the middle finger.
    Hand,
    /// Middle of the body to the shoulder.
    ShoulderHalfBreadth,
    /// Floor to shoulder, standing.
    ShoulderHeight,
}

impl Part {
    /// All, from the shoulder outward.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// Its name in lower case.
    pub fn words(self) -> &'static str {
        match self {
            Self::UpperArm => "upper arm",
            Self::Forearm => "forearm",
            Self::Hand => "hand",
            Self::ShoulderHalfBreadth => "middle to shoulder",
            Self::ShoulderHeight => "shoulder height",
        }
    }
}

impl Proportions {
    /// All, the general one first.
    pub const ALL: [Self; Self::COUNT] = variants(Self::VARIANTS);

    /// The words shown.
    pub fn words(self) -> &'static str {
        match self {
            Self::General => "anybody",
            Self::Men => "men",
            Self::Women => "women",
        }
    }

    /// A part as a share of the stature.
    pub fn share(self, part: Part) -> f64 {
        let shares = match self {
            Self::General => [0.186, 0.146, 0.108, 0.1295, 0.818],
            Self::Men => [0.1909, 0.1525, 0.1101, 0.1184, 0.8203],
            Self::Women => [0.1911, 0.1482, 0.1112, 0.1122, 0.8198],
        };
        shares[part as usize]
    }

    /// Shoulder above a seat, and the seat that lets the feet stand flat, as shares of the stature.
    /// ANSUR II; for anybody the mean of men and women.
    fn seated_shares(self) -> (f64, f64) {
        match self {
            Self::General => (0.34465, 0.24145),
            Self::Men => (0.3433, 0.2446),
            Self::Women => (0.3460, 0.2383),
        }
    }
}

/// A player's body. Measured parts are kept; the others follow from the stature.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Body {
    /// Height of the standing player, mm.
    pub stature_mm: f64,
    /// Where the stature comes from.
    pub stature_origin: Origin,
    /// Table for the parts that are not measured.
    pub proportions: Proportions,
    /// Measured parts, mm, in the order of [`Part::ALL`].
    pub measured_mm: [Option<f64>; Part::COUNT],
}

impl Default for Body {
    /// An adult of 1750 mm: assumed.
    fn default() -> Self {
        Self {
            stature_mm: 1750.0,
            stature_origin: Origin::Assumed,
            proportions: Proportions::General,
            measured_mm: [None; Part::COUNT],
        }
    }
}

/// Posture in which the instrument is played.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, EnumCount, VariantArray)]
pub enum Posture {
    /// Standing.
    Standing,
    /// On a chair, feet flat.
    Seated,
    /// Half sitting on a high stool.
    Stool,
}

impl Posture {
    /// The words shown.
    pub fn words(self) -> &'static str {
        match self {
            Self::Standing => "standing",
            Self::Seated => "on a chair",
            Self::Stool => "on a stool",
        }
    }
}

/// Height of a high stool as a share of the stature: about 74 cm at 1.75 m. Assumed.
const STOOL_SHARE: f64 = 0.42;

impl Body {
    /// A child or young player of the median stature for the age, years.
    pub fn of_age(age_years: f64, sex: Sex) -> Self {
        Self {
            stature_mm: median_stature_mm(Chart::Cdc, sex, age_years),
            stature_origin: Origin::Published,
            ..Self::default()
        }
    }

    /// The stature, mm, kept inside what a body can be.
    pub fn stature_mm(&self) -> f64 {
        sound(self.stature_mm, 1750.0)
    }

    /// Length of a part by the proportions alone, mm.
    pub(super) fn part_from_stature_mm(&self, part: Part) -> f64 {
        self.stature_mm() * self.proportions.share(part)
    }

    /// Length of a part, mm, and where it comes from.
    pub fn part_mm(&self, part: Part) -> (f64, Origin) {
        let from_stature = self.part_from_stature_mm(part);
        match self.measured_mm[part as usize] {
            Some(measured) => (sound(measured, from_stature), Origin::Measured),
            None if self.stature_origin == Origin::Assumed => (from_stature, Origin::Assumed),
            None => (from_stature, Origin::Published),
        }
    }

    /// Height of the shoulders above the floor, mm.
    pub fn shoulder_above_floor_mm(&self, posture: Posture) -> f64 {
        let standing = self.part_mm(Part::ShoulderHeight).0;
        let (above_seat, seat) = self.proportions.seated_shares();
        let sunk = |seat: f64| self.proportions.share(Part::ShoulderHeight) - above_seat - seat;
        match posture {
            Posture::Standing => standing,
            Posture::Seated => standing - sunk(seat) * self.stature_mm(),
            Posture::Stool => standing - sunk(STOOL_SHARE) * self.stature_mm(),
        }
    }

    /// Side of the neck to the middle of the palm with the left arm stretched sideways, mm: the
    /// length that shops hold against an instrument. Half the neck is 0.035 of the stature
    /// (assumed), the middle of the palm half a hand from the wrist (assumed).
    pub fn neck_to_palm_mm(&self) -> f64 {
        let part = |part| self.part_mm(part).0;
        part(Part::ShoulderHalfBreadth) - 0.035 * self.stature_mm()
            + part(Part::UpperArm)
            + part(Part::Forearm)
            + 0.5 * part(Part::Hand)
    }
}

/// A length that can be computed with: absurd figures give the other one.
fn sound(value: f64, other: f64) -> f64 {
    if value.is_finite() && (1.0..=1e6).contains(&value) { value } else { other }
}
