//! How the instrument and the bow are held, and how a school shapes the arm.

use serde::{Deserialize, Serialize};
use strum::{EnumCount, VariantArray};

use super::{Family, body::Posture};

/// How the hand lies on the bow.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, EnumCount, VariantArray)]
pub enum BowHold {
    /// From above: violin, viola, cello, French bass bow.
    Over,
    /// From the side and below: German bass bow.
    Under,
}

impl BowHold {
    /// The bass player's word.
    pub fn words(self) -> &'static str {
        match self {
            Self::Over => "French",
            Self::Under => "German",
        }
    }
}

/// How the instrument is held. The roll of violin and viola and the turn of cello and double bass
/// are in [`super::Instrument::roll_deg`], since they turn the bow planes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Hold {
    /// Posture.
    pub posture: Posture,
    /// Violin and viola: from straight ahead to the scroll, toward the player's left, degrees.
    pub yaw_deg: f64,
    /// Violin and viola: scroll above the chin, degrees.
    pub pitch_deg: f64,
    /// Cello and double bass: lean toward the player, from the vertical, degrees.
    pub lean_deg: f64,
    /// Cello and double bass: lean to the player's left, so that the neck passes the head, degrees.
    pub side_deg: f64,
    /// Trunk turned so that the bow shoulder comes forward, degrees.
    pub trunk_deg: f64,
    /// Hand on the bow.
    pub bow: BowHold,
}

impl Default for Hold {
    fn default() -> Self {
        Self::usual(Family::Violin)
    }
}

impl Hold {
    /// The usual hold. Yaw 40 degrees inside the 20 to 50 tested by Hildebrandt et al. 2021 (Med.
    /// Probl. Perform. Art. 36(3):207-217), strings near parallel to the floor (Colwell, Hewitt &
    /// Fonder, The Teaching of Instrumental Music). Cello: trunk turned 5.0 to 16.3 degrees in Hopper
    /// et al. 2017 (Med. Probl. Perform. Art. 32(2):85-93). The cello leans as far as between a straight
    /// pin and a bent one (25 to 55 degrees, from memory), so that the arm is as high at the tip of the
    /// highest string as there (shoulder flexion 107.2 degrees) and nearly open at the tip of the lowest.
    /// All else assumed.
    pub fn usual(family: Family) -> Self {
        let (posture, lean_deg, side_deg, trunk_deg) = match family {
            Family::Violin | Family::Viola => (Posture::Standing, 0.0, 0.0, 0.0),
            Family::Cello => (Posture::Seated, 40.0, 13.0, 11.0),
            Family::DoubleBass => (Posture::Standing, 14.0, 5.0, 24.0),
        };
        let yaw_deg = if family.on_shoulder() { 40.0 } else { 0.0 };
        Self { posture, yaw_deg, pitch_deg: 0.0, lean_deg, side_deg, trunk_deg, bow: BowHold::Over }
    }
}

/// What schools differ in about the arm.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct ArmSchool {
    /// The elbow lies in the plane of shoulder and bow, this many levels higher: 0 in the plane, -1
    /// one of the seven levels lower.
    pub elbow_levels: f64,
    /// Levels added from the frog to the tip.
    pub tip_lift_levels: f64,
    /// The forearm counts as fully open here, before the elbow locks: degrees from straight.
    pub open_elbow_deg: f64,
}

impl Default for ArmSchool {
    /// One level lower at the frog, in the plane at the tip: between the schools that are
    /// described (common practice); 15 degrees assumed.
    fn default() -> Self {
        Self { elbow_levels: -1.0, tip_lift_levels: 1.0, open_elbow_deg: 15.0 }
    }
}
