//! The bow arm on a level and at a place on the hair.
//!
//! The bow is straight and at a right angle to the string. The hand holds it a little behind the
//! hair, the wrist lies off the stick on the player's side and swings along the bow from frog to
//! tip; upper arm and forearm join wrist and shoulder, and the school says where on its circle the
//! elbow lies. The shoulder stays where it is: low and level on every level. Only where the arm would
//! be too short does it come forward a little, as it does near the tip.

use crate::setup::{ArmSchool, BowHold, Family, Part, Setup};

use super::{ElbowCircle, Frame, LevelFan, Links, Vec3};

/// Hand and bow. All lengths are shares of the hand's length. Assumed.
#[derive(Clone, Debug, PartialEq)]
struct Grip {
    /// Hair's end at the frog to where the hand holds the bow.
    behind: f64,
    /// From there to the wrist at the frog, where the fingers are bent, and at the tip, where they
    /// stretch.
    wrist: (f64, f64),
    /// Height of the wrist off the player's side toward the stick's outer side, degrees.
    rise_deg: f64,
    /// Swing of the wrist along the bow at the frog and at the tip, degrees, outward positive.
    swing_deg: (f64, f64),
}

impl Grip {
    fn of(family: Family, bow: BowHold) -> Self {
        let (wrist, rise_deg, swing_deg) = match (family, bow) {
            (Family::Violin | Family::Viola, _) => ((0.5, 0.63), 15.0, (45.0, -25.0)),
            (Family::Cello, BowHold::Over) => ((0.5, 0.5), 0.0, (34.0, -5.0)),
            (_, BowHold::Over) => ((0.6, 0.6), 0.0, (42.0, -28.0)),
            // The hand holds the frog from its end, the palm toward the player.
            (_, BowHold::Under) => ((0.6, 0.6), 0.0, (40.0, -28.0)),
        };
        Self { behind: 0.12, wrist, rise_deg, swing_deg }
    }
}

/// The arm in one place. Points in the frame of [`Vec3`]; for a left-handed player the whole
/// picture is flipped.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArmPose {
    /// Angle of the bow in the instrument's frame, degrees.
    pub level_deg: f64,
    /// Place on the hair, mm from the frog.
    pub hair_mm: f64,
    /// Where the hair touches the string.
    pub contact: Vec3,
    /// End of the hair at the frog.
    pub frog: Vec3,
    /// End of the hair at the tip.
    pub tip: Vec3,
    /// Where the hand holds the bow.
    pub hand: Vec3,
    /// Wrist.
    pub wrist: Vec3,
    /// Elbow.
    pub elbow: Vec3,
    /// Shoulder of the bow arm.
    pub shoulder: Vec3,
    /// How far the elbow is bent, degrees from straight.
    pub elbow_flexion_deg: f64,
    /// Upper arm from hanging straight down, degrees.
    pub upper_arm_deg: f64,
    /// Elbow turned outward from the lowest place it could have, degrees.
    pub swivel_deg: f64,
    /// Elbow above the floor, mm.
    pub elbow_above_floor_mm: f64,
    /// How much longer the arm would have to be, mm; 0 in reach.
    pub short_by_mm: f64,
}

/// A player's bow arm on one instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Arm {
    /// The instrument in the room, for a right-handed player.
    pub frame: Frame,
    /// Upper arm and forearm.
    pub links: Links,
    fan: LevelFan,
    shoulder: Vec3,
    /// How far the shoulder can come forward, mm.
    forward_mm: f64,
    shoulder_above_floor_mm: f64,
    hand_mm: f64,
    hair_mm: f64,
    grip: Grip,
    school: ArmSchool,
    step_deg: f64,
    left_handed: bool,
}

/// Where bow, hand and shoulder are.
struct HeldAt {
    /// From the string to the hand, length 1.
    bow: Vec3,
    contact: Vec3,
    hand: Vec3,
    wrist: Vec3,
    shoulder: Vec3,
}

/// How far apart the elbow is on two levels at least, as a share of the arm's length: enough to be seen
/// as an order. Assumed.
const ORDER_GAP: f64 = 0.002;
/// How far the shoulder comes forward for an arm that is too short, as a share of the stature. A reach
/// with the shoulder stretched forward is about 0.04 of the stature longer than one with it against a
/// wall (handbooks of military anthropometry, from memory); half of that assumed.
const FORWARD: f64 = 0.02;
/// Step of the search for the farthest hair, mm, before it is narrowed down.
const SEARCH_MM: f64 = 5.0;

impl Arm {
    /// The bow arm of a set-up. Any figures give an arm; absurd ones some finite arm.
    pub fn new(setup: &Setup, fan: &LevelFan) -> Self {
        let hold = setup.held();
        let part = |part| setup.body.part_mm(part).0;
        let trunk = finite(hold.trunk_deg).clamp(-90.0, 90.0).to_radians();
        let shoulder = Vec3::new(trunk.cos(), trunk.sin(), 0.0) * part(Part::ShoulderHalfBreadth);
        let angles: Vec<f64> = fan.all().map(|level| level.angle_deg).collect();
        let whole = angles.last().copied().unwrap_or(0.0) - angles.first().copied().unwrap_or(0.0);
        Self {
            frame: Frame::new(setup),
            links: Links { upper_mm: part(Part::UpperArm), fore_mm: part(Part::Forearm) },
            fan: fan.clone(),
            shoulder,
            forward_mm: FORWARD * setup.body.stature_mm(),
            shoulder_above_floor_mm: setup.shoulder_above_floor_mm(),
            hand_mm: part(Part::Hand),
            hair_mm: finite(setup.bow.hair_mm).clamp(1.0, 1e6),
            grip: Grip::of(setup.instrument.family, hold.bow),
            school: setup.school.arm.clone(),
            step_deg: whole.abs() / angles.len().saturating_sub(1).max(1) as f64,
            left_handed: setup.left_handed,
        }
    }

    /// The bow in its place, with the hand on it and the shoulder, before any flip.
    fn held_at(&self, level_deg: f64, hair_mm: f64) -> HeldAt {
        let bow = self.frame.bow(level_deg);
        let contact = self.frame.contact(self.fan.contact_at(level_deg));
        let hand = contact + bow * self.hand_from_string_mm(hair_mm);
        let share = (hair_mm / self.hair_mm).clamp(0.0, 1.0);
        let between = |(frog, tip): (f64, f64)| frog + (tip - frog) * share;
        let ((rise_sin, rise_cos), (sin, cos)) =
            (self.grip.rise_deg.to_radians().sin_cos(), between(self.grip.swing_deg).to_radians().sin_cos());
        let off = self.frame.player * rise_cos + self.frame.off_strings(level_deg) * rise_sin;
        let wrist = hand + (off * cos + bow * sin) * (between(self.grip.wrist) * self.hand_mm);
        HeldAt { bow, contact, hand, wrist, shoulder: self.shoulder_for(wrist) }
    }

    /// The shoulder, come forward on its height as far as a wrist asks for with the elbow still open.
    fn shoulder_for(&self, wrist: Vec3) -> Vec3 {
        let (open, way) = (self.open_mm(), wrist - self.shoulder);
        let too_far = way.dot(way) - open * open;
        if too_far <= 0.0 {
            return self.shoulder;
        }
        let toward = way.across(Vec3::DOWN).unit_or(Vec3::new(0.0, 1.0, 0.0));
        // Where the wrist is as far as the open arm is long: |way - toward s| = open.
        let level = way.dot(toward);
        let needed = level - (level * level - too_far).max(0.0).sqrt();
        self.shoulder + toward * needed.clamp(0.0, self.forward_mm)
    }

    /// Shoulder to wrist with the elbow open but not locked, mm.
    fn open_mm(&self) -> f64 {
        self.links.distance_mm(finite(self.school.open_elbow_deg).clamp(0.0, 90.0))
    }

    /// The elbow's circle on a level, and its swivel into the plane through the shoulder and a bow that
    /// is turned from the real one by the school's levels, degrees.
    fn in_plane(&self, level_deg: f64, hair_mm: f64) -> (ElbowCircle, f64) {
        let HeldAt { bow, contact, wrist, shoulder, .. } = self.held_at(level_deg, hair_mm);
        let share = hair_mm / self.hair_mm;
        let levels = finite(self.school.elbow_levels) + finite(self.school.tip_lift_levels) * share;
        let turned = self.frame.bow((level_deg + levels * self.step_deg).clamp(-180.0, 180.0));
        let normal = turned.cross(shoulder - contact).unit_or(self.frame.away);
        let circle = self.links.elbow_circle(shoulder, wrist, bow);
        let swivel_deg = circle.swivel_into(shoulder, normal, bow);
        (circle, swivel_deg)
    }

    /// How much lower than in its plane the elbow is held at an angle of the bow, mm, negative higher, so
    /// that the order of the levels is never reversed: from the level with the highest elbow on, each lies
    /// below the one before it. Where the arm hangs, or is nearly straight, the planes alone do not keep
    /// that order.
    fn lowered_mm(&self, level_deg: f64, hair_mm: f64) -> f64 {
        let gap = ORDER_GAP * (self.links.upper_mm + self.links.fore_mm);
        // The elbow is highest with the bow hand farthest from the top plate: angle, height in the plane,
        // lowest height.
        let mut levels: Vec<(f64, f64, f64)> = Vec::new();
        for level in self.fan.all() {
            let (circle, swivel_deg) = self.in_plane(level.angle_deg, hair_mm);
            levels.push((level.angle_deg, circle.at(swivel_deg).z, circle.at(0.0).z));
        }
        levels.sort_by(|a, b| b.0.total_cmp(&a.0));
        // A level leaves room for those below it, where they cannot go lower.
        for k in (1..levels.len()).rev() {
            levels[k - 1].2 = levels[k - 1].2.max(levels[k].2 + gap);
        }
        let mut above = f64::INFINITY;
        let lowered: Vec<(f64, f64)> = levels
            .into_iter()
            .map(|(angle, planned, lowest)| {
                above = planned.min(above - gap).max(lowest);
                (angle, planned - above)
            })
            .collect();
        // Between two levels in proportion.
        let after = lowered.partition_point(|(angle, _)| *angle > level_deg);
        match (after.checked_sub(1).and_then(|k| lowered.get(k)), lowered.get(after)) {
            (Some((high_deg, high)), Some((low_deg, low))) => {
                low + (high - low) * (level_deg - low_deg) / (high_deg - low_deg)
            }
            (Some((_, only)), None) | (None, Some((_, only))) => *only,
            (None, None) => 0.0,
        }
    }

    /// The arm with the bow at an angle ([`super::Level::angle_deg`]) and the string at a place on
    /// the hair, mm from the frog.
    ///
    /// Hand and wrist follow from the bow. The elbow lies on the circle of [`Links`], in the plane
    /// through the shoulder and a bow that is turned from the real one by the school's levels, or where
    /// the order of the levels asks for it beside that plane.
    pub fn pose(&self, level_deg: f64, hair_mm: f64) -> ArmPose {
        let level_deg = finite(level_deg).clamp(-90.0, 90.0);
        let hair_mm = finite(hair_mm).clamp(0.0, self.hair_mm);
        let HeldAt { bow, contact, hand, wrist, shoulder } = self.held_at(level_deg, hair_mm);
        let (circle, mut swivel_deg) = self.in_plane(level_deg, hair_mm);
        let lowered_mm = self.lowered_mm(level_deg, hair_mm);
        if lowered_mm != 0.0 {
            swivel_deg = circle.at_height(circle.at(swivel_deg).z - lowered_mm, swivel_deg);
        }
        let distance = (wrist - shoulder).length();
        let longest = self.links.upper_mm + self.links.fore_mm;
        let mut elbow = circle.at(swivel_deg);
        if distance > longest {
            // Out of reach: straight, the elbow where it divides the arm.
            elbow = shoulder + (wrist - shoulder) * (self.links.upper_mm / longest);
        }
        let upper = (elbow - shoulder).unit_or(Vec3::DOWN);
        let pose = ArmPose {
            level_deg,
            hair_mm,
            contact,
            frog: contact + bow * hair_mm,
            tip: contact - bow * (self.hair_mm - hair_mm),
            hand,
            wrist,
            elbow,
            shoulder,
            elbow_flexion_deg: self.links.flexion_deg(distance).unwrap_or(0.0),
            upper_arm_deg: (-upper.z).clamp(-1.0, 1.0).acos().to_degrees(),
            swivel_deg,
            elbow_above_floor_mm: self.shoulder_above_floor_mm + elbow.z,
            short_by_mm: (distance - longest).max(0.0),
        };
        if self.left_handed { pose.flipped() } else { pose }
    }

    /// From the string to the middle of the bow hand along the bow, mm, with the string at a place on
    /// the hair.
    pub fn hand_from_string_mm(&self, hair_mm: f64) -> f64 {
        hair_mm + self.grip.behind * self.hand_mm
    }

    /// The poses of all levels at one place on the hair, in the order of
    /// [`super::Plane::index`].
    pub fn poses(&self, hair_mm: f64) -> Vec<ArmPose> {
        self.fan.all().map(|level| self.pose(level.angle_deg, hair_mm)).collect()
    }

    /// Playable hair of the bow, mm; never 0.
    pub fn hair_mm(&self) -> f64 {
        self.hair_mm
    }

    /// Height of the shoulders above the floor, mm.
    pub fn shoulder_above_floor_mm(&self) -> f64 {
        self.shoulder_above_floor_mm
    }

    /// The farthest hair reached on a level with the elbow still a little bent, mm from the frog; 0
    /// where nothing is reached.
    pub fn farthest_mm(&self, level_deg: f64) -> f64 {
        // A hair's breadth more, for the rounding where the shoulder has come just as far as needed.
        let open = self.open_mm() + 1e-9;
        let reached = |hair: f64| {
            let held = self.held_at(level_deg, hair);
            (held.wrist - held.shoulder).length() <= open
        };
        let mut beyond = self.hair_mm;
        if reached(beyond) {
            return beyond;
        }
        while beyond > 0.0 {
            let mut inside = (beyond - SEARCH_MM.min(self.hair_mm / 20.0)).max(0.0);
            if reached(inside) {
                for _ in 0..40 {
                    let middle = (inside + beyond) / 2.0;
                    *(if reached(middle) { &mut inside } else { &mut beyond }) = middle;
                }
                return inside;
            }
            beyond = inside;
        }
        0.0
    }

    /// The player's tip mark as this arm suggests it: the least of the farthest places over all
    /// levels, mm from the frog.
    pub fn tip_mark_mm(&self) -> f64 {
        self.fan.all().map(|level| self.farthest_mm(level.angle_deg)).fold(self.hair_mm, f64::min)
    }
}

fn finite(value: f64) -> f64 {
    if value.is_finite() { value } else { 0.0 }
}
