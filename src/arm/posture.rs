//! What a pose of the arm says of itself: its angles at wrist and hand, and the way to another one.

use super::{ArmPose, Vec3};

/// What moves between two poses.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Travel {
    /// Turn of the bow, degrees.
    pub bow_deg: f64,
    /// Way of the elbow in a straight line, mm.
    pub elbow_mm: f64,
    /// Way of the hand in a straight line, mm.
    pub hand_mm: f64,
    /// Upper arm raised, degrees; negative lowered.
    pub upper_arm_deg: f64,
    /// Forearm turned inward, degrees; negative outward. None where it is not known.
    pub forearm_deg: Option<f64>,
}

/// An elbow less bent than this does not show the plane of the arm, degrees. Assumed.
const STRAIGHT_DEG: f64 = 20.0;

impl ArmPose {
    /// The same pose seen in a mirror that swaps left and right.
    #[must_use]
    pub fn flipped(self) -> Self {
        Self {
            contact: self.contact.mirrored(),
            frog: self.frog.mirrored(),
            tip: self.tip.mirrored(),
            hand: self.hand.mirrored(),
            wrist: self.wrist.mirrored(),
            elbow: self.elbow.mirrored(),
            shoulder: self.shoulder.mirrored(),
            ..self
        }
    }

    /// Bend of the wrist: the hand against the forearm, degrees from straight.
    pub fn wrist_bend_deg(&self) -> f64 {
        let fore = (self.wrist - self.elbow).unit_or(Vec3::DOWN);
        let hand = (self.hand - self.wrist).unit_or(Vec3::DOWN);
        fore.dot(hand).clamp(-1.0, 1.0).acos().to_degrees()
    }

    /// Turn of the forearm about its length, degrees: 0 with the thumb's side of the hand toward the
    /// shoulder, positive inward (pronation), negative outward. The knuckles are taken to lie along the bow,
    /// so that the difference of two poses says more than either. None where the arm is nearly straight:
    /// then its plane is not known.
    pub fn forearm_turn_deg(&self) -> Option<f64> {
        if self.elbow_flexion_deg < STRAIGHT_DEG {
            return None;
        }
        let fore = (self.wrist - self.elbow).unit_or(Vec3::DOWN);
        let hand = (self.hand - self.wrist).unit_or(Vec3::DOWN);
        let thumb = (self.tip - self.frog).across(hand).unit_or(Vec3::DOWN);
        // The wrist bends but does not turn: its bend taken back brings the hand in line with the forearm.
        let (axis, cos) = (hand.cross(fore), hand.dot(fore));
        let thumb = thumb * cos + axis.cross(thumb) + axis * (axis.dot(thumb) / (1.0 + cos).max(1e-9));
        let to_shoulder = (self.shoulder - self.elbow).across(fore).unit_or(Vec3::DOWN);
        // The bow arm of a left-handed player is the other one.
        let side = if self.shoulder.x < 0.0 { 1.0 } else { -1.0 };
        let inward = fore.cross(to_shoulder) * side;
        Some(thumb.dot(inward).atan2(thumb.dot(to_shoulder)).to_degrees())
    }

    /// Lean of the hand along the bow, degrees: toward the little finger, as at the frog; negative toward
    /// the forefinger, as at the tip.
    pub fn hand_lean_deg(&self) -> f64 {
        let bow = (self.frog - self.tip).unit_or(Vec3::DOWN);
        let to_wrist = (self.wrist - self.hand).unit_or(Vec3::DOWN);
        to_wrist.dot(bow).clamp(-1.0, 1.0).asin().to_degrees()
    }

    /// What moves from this pose to another.
    pub fn travel_to(&self, other: &Self) -> Travel {
        Travel {
            bow_deg: (other.level_deg - self.level_deg).abs(),
            elbow_mm: (other.elbow - self.elbow).length(),
            hand_mm: (other.hand - self.hand).length(),
            upper_arm_deg: other.upper_arm_deg - self.upper_arm_deg,
            forearm_deg: self.forearm_turn_deg().zip(other.forearm_turn_deg()).map(|(from, to)| to - from),
        }
    }
}

/// Way of the hand when the bow turns about the string by an angle, at a distance from the string:
/// the chord 2 l sin(angle / 2), mm.
pub fn hand_travel_mm(distance_mm: f64, angle_deg: f64) -> f64 {
    2.0 * distance_mm * (angle_deg.abs() / 2.0).to_radians().sin()
}
