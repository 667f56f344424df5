//! How the player stands or sits around the instrument: every joint that the bow arm does not move.
//!
//! Segments follow from the stature (Drillis & Contini 1966, as quoted in Winter, Biomechanics and
//! Motor Control of Human Movement: chin 0.870, hip 0.530, knee 0.285 of the stature, ankle from
//! memory 0.039); how they are placed is assumed, from the way players are seen to sit and stand.

use crate::setup::{Family, Part, Posture, Setup};

use super::{Frame, Links, Vec3};

/// The head, its place and where the face is turned.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Head {
    /// Under the skull, at the height of the chin.
    pub at: Vec3,
    /// To the player's right.
    pub right: Vec3,
    /// Where the face looks.
    pub forward: Vec3,
    /// To the crown.
    pub up: Vec3,
    /// Chin to crown, mm.
    pub height_mm: f64,
}

/// One leg.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Leg {
    /// Hip.
    pub hip: Vec3,
    /// Knee.
    pub knee: Vec3,
    /// Ankle.
    pub ankle: Vec3,
    /// Tip of the foot.
    pub toe: Vec3,
}

/// The arm at the neck of the instrument.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeckArm {
    /// Shoulder.
    pub shoulder: Vec3,
    /// Elbow.
    pub elbow: Vec3,
    /// Wrist.
    pub wrist: Vec3,
    /// On the neck, where the hand holds it.
    pub hand: Vec3,
}

/// The player around the instrument, for a right-handed player.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stance {
    /// Height of the standing player, mm.
    pub stature_mm: f64,
    /// Height of the floor.
    pub floor: f64,
    /// Shoulder of the bow arm.
    pub shoulder: Vec3,
    /// Root of the neck.
    pub neck: Vec3,
    /// Head.
    pub head: Head,
    /// Middle between the hips.
    pub pelvis: Vec3,
    /// Right and left leg.
    pub legs: [Leg; 2],
    /// Height of the seat, where one is sat on.
    pub seat: Option<f64>,
    /// The arm at the neck.
    pub neck_arm: NeckArm,
}

/// Where the bow crosses the strings, from the bridge toward the scroll as a share of the string
/// length: between the bridge and the end of the fingerboard. Assumed.
pub const CROSSING: f64 = 0.09;

impl Frame {
    /// A point of the instrument by shares of the string length: from the bridge toward the scroll,
    /// across toward the bow hand, and away from the top plate, the strings at the bridge being 0.
    pub fn point(&self, string_mm: f64, (along, across, away): (f64, f64, f64)) -> Vec3 {
        self.crown
            + self.along * ((along - CROSSING) * string_mm)
            + self.hand * (across * string_mm)
            + self.away * (away * string_mm)
    }
}

impl Stance {
    /// The stance of a set-up.
    pub fn new(setup: &Setup, frame: &Frame) -> Self {
        let hold = setup.held();
        let stature_mm = setup.body.stature_mm();
        let h = |share: f64| share * stature_mm;
        let family = setup.instrument.family;
        let trunk =
            if hold.trunk_deg.is_finite() { hold.trunk_deg.clamp(-90.0, 90.0) } else { 0.0 }.to_radians();
        let half = setup.body.part_mm(Part::ShoulderHalfBreadth).0;
        let shoulder = Vec3::new(trunk.cos(), trunk.sin(), 0.0) * half;
        let floor = -setup.shoulder_above_floor_mm();
        // Whoever holds an instrument on the floor leans forward to it from the hips.
        let back = match family {
            Family::Violin | Family::Viola => h(0.005),
            Family::Cello => h(0.03),
            Family::DoubleBass => h(0.085),
        };
        let (hips, seat) = match hold.posture {
            Posture::Standing => (floor + h(0.53), None),
            // The hip joints lie a little above the seat.
            Posture::Seated | Posture::Stool => (h(-0.34465 + 0.05), Some(h(-0.34465))),
        };
        let pelvis = Vec3::new(0.0, -back, hips);
        Self {
            stature_mm,
            floor,
            shoulder,
            neck: Vec3::new(0.0, h(-0.014), h(0.015)),
            head: head(family, stature_mm),
            pelvis,
            legs: [1.0, -1.0].map(|side| leg(side, hold.posture, pelvis, floor, stature_mm)),
            seat,
            neck_arm: neck_arm(setup, frame, -shoulder),
        }
    }
}

/// The face is turned to the instrument, on the shoulder with the jaw on it.
fn head(family: Family, stature_mm: f64) -> Head {
    let h = |share: f64| share * stature_mm;
    // Turned to the left, down, and leaned to the left, degrees.
    let (at, turn, down, lean): (_, f64, f64, f64) = match family {
        Family::Violin | Family::Viola => (Vec3::new(h(-0.014), h(0.0), h(0.051)), 34.0, 12.0, 7.0),
        Family::Cello => (Vec3::new(h(0.020), h(0.010), h(0.052)), -6.0, 14.0, -8.0),
        Family::DoubleBass => (Vec3::new(h(0.01), h(0.010), h(0.052)), -10.0, 14.0, -4.0),
    };
    let ((turn_sin, turn_cos), (down_sin, down_cos)) =
        (turn.to_radians().sin_cos(), down.to_radians().sin_cos());
    let ahead = Vec3::new(-turn_sin, turn_cos, 0.0);
    let level_right = Vec3::new(turn_cos, turn_sin, 0.0);
    let forward = ahead * down_cos - Vec3::new(0.0, 0.0, down_sin);
    let level_up = level_right.cross(forward);
    let (sin, cos) = lean.to_radians().sin_cos();
    let (right, up) = (level_right * cos + level_up * sin, level_up * cos - level_right * sin);
    Head { at, right, forward, up, height_mm: h(0.13) }
}

fn leg(side: f64, posture: Posture, pelvis: Vec3, floor: f64, stature_mm: f64) -> Leg {
    let h = |share: f64| share * stature_mm;
    let p = |x: f64, y: f64, z: f64| Vec3::new(side * h(x), pelvis.y + h(y), floor + h(z));
    let hip = pelvis + Vec3::new(side * h(0.05), 0.0, 0.0);
    // Both feet turned out a little.
    match posture {
        Posture::Standing => Leg {
            hip,
            knee: p(0.056, 0.017, 0.285),
            ankle: p(0.062, 0.006, 0.039),
            toe: p(0.088, 0.106, 0.018),
        },
        Posture::Seated => {
            Leg { hip, knee: p(0.155, 0.215, 0.285), ankle: p(0.15, 0.22, 0.039), toe: p(0.185, 0.31, 0.018) }
        }
        // One foot on the rung; on the side of the bow the leg stands nearly straight, out of its way.
        Posture::Stool if side < 0.0 => {
            Leg { hip, knee: p(0.17, 0.10, 0.36), ankle: p(0.15, 0.07, 0.12), toe: p(0.19, 0.15, 0.10) }
        }
        Posture::Stool => {
            Leg { hip, knee: p(0.085, 0.025, 0.28), ankle: p(0.10, 0.015, 0.039), toe: p(0.13, 0.115, 0.018) }
        }
    }
}

/// The hand lies in first position, the elbow hangs under a violin and stands out beside a cello.
fn neck_arm(setup: &Setup, frame: &Frame, shoulder: Vec3) -> NeckArm {
    let part = |part| setup.body.part_mm(part).0;
    let links = Links { upper_mm: part(Part::UpperArm), fore_mm: part(Part::Forearm) };
    let string = setup.instrument.string_length_mm;
    let string = if string.is_finite() { string.clamp(1.0, 1e6) } else { 330.0 };
    let family = setup.instrument.family;
    let (along, swivel_deg) = match family {
        Family::Violin | Family::Viola => (0.88, 8.0),
        Family::Cello => (0.88, 62.0),
        Family::DoubleBass => (0.9, 60.0),
    };
    let hand = frame.point(string, (along, 0.0, -0.03));
    let toward = (shoulder - hand).unit_or(Vec3::DOWN);
    // The wrist lies under the neck of a violin, beside and behind that of a cello.
    let side = if family.on_shoulder() {
        toward + Vec3::DOWN * 1.1 + frame.hand * 0.25
    } else {
        toward * 0.5 - frame.hand * 0.85 - frame.away * 0.35
    };
    let wrist = hand + side.unit_or(Vec3::DOWN) * (0.47 * part(Part::Hand));
    let elbow = links.elbow_circle(shoulder, wrist, Vec3::new(-1.0, 0.0, 0.0)).at(swivel_deg);
    NeckArm { shoulder, elbow, wrist, hand }
}
