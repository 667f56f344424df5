//! The player in the round: body, instrument and bow as solids, drawn from any side.
//!
//! Where the joints lie [`crate::arm`] says; here is what is seen of them. What does not move is made
//! once for a set-up ([`Mannequin::new`]) and drawn once for a camera ([`Backdrop`]), the bow arm for each
//! pose. Everything is made right-handed; a
//! left-handed player is seen through a mirrored [`Camera`].

mod backdrop;
mod body;
mod bow;
mod camera;
mod contours;
mod hands;
mod head;
mod image;
mod instrument;
mod layer;
mod mesh;
mod sitter;
mod solids;
mod spans;

pub use backdrop::Backdrop;
pub use camera::Camera;
pub use image::{Dot, Image, TONES};
pub use mesh::Mesh;
pub use sitter::Sitter;
pub use solids::{Material, Solid, Solids, Thread};

use crate::{
    arm::{Arm, ArmPose, Frame, Stance, Vec3},
    setup::{BowHold, Family, Part, Posture, Setup},
};
use bow::Held;
use instrument::{Placed, Shape};
use solids::bodies;

/// How high the eyes come over the strings, a share of their way to where the bow crosses them; and how far
/// the head bends forward for that at most, a share of the stature. Assumed.
const OVER_STRINGS: f64 = 0.45;
const BEND: f64 = 0.14;

/// Which of two arms of the player.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Which {
    /// The arm on the level shown.
    Shown,
    /// The arm on the level held against it.
    Other,
}

/// A player with an instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct Mannequin {
    /// Joints of everything but the bow arm.
    pub stance: Stance,
    /// Trunk, the arm at the neck, legs, seat and instrument.
    pub still: Solids,
    /// The head without its pupils, and what it covers from its own eyes.
    pub head: Solids,
    frame: Frame,
    family: Family,
    hold: BowHold,
    hand_mm: f64,
    string_mm: f64,
}

impl Mannequin {
    /// The player of a set-up.
    pub fn new(setup: &Setup, arm: &Arm) -> Self {
        let frame = arm.frame;
        let held = setup.held();
        let stance = Stance::new(setup, &frame);
        let string = setup.instrument.string_length_mm;
        let string_mm = if string.is_finite() { string.clamp(1.0, 1e5) } else { 330.0 };
        let family = setup.instrument.family;
        let mut player = Self {
            stance,
            still: Solids::default(),
            head: Solids::default(),
            frame,
            family,
            hold: held.bow,
            hand_mm: setup.body.part_mm(Part::Hand).0,
            string_mm,
        };
        head::head(&mut player.head, &stance.head);
        let solids = &mut player.still;
        body::trunk(solids, &stance);
        body::neck_sleeve(solids, &stance.neck_arm, stance.stature_mm);
        body::legs(solids, &stance);
        if !family.on_shoulder() {
            body::seat(solids, &stance, held.posture == Posture::Stool);
        }
        let placed = Placed { frame: &frame, instrument: &setup.instrument, string_mm };
        placed.add(solids, stance.floor);
        let treble = if family.on_shoulder() { frame.hand } else { -frame.hand };
        hands::neck_hand(
            solids,
            &stance.neck_arm,
            (frame.along, treble, frame.away),
            Shape::of(family).neck_half() * string_mm,
            (family.on_shoulder(), player.hand_mm),
        );
        if family.on_shoulder() {
            placed.chin_rest(&mut player.head);
        }
        player
    }

    /// The pupils of eyes that look at a point.
    pub fn pupils(&self, look_at: Vec3) -> Solids {
        let mut solids = Solids::default();
        head::pupils(&mut solids, &self.stance.head, look_at);
        solids
    }

    /// Between the eyes of a player who bends over the strings until they are seen from above, as far as
    /// that goes.
    pub fn eyes(&self) -> Vec3 {
        let head = &self.stance.head;
        let upright = head.at + (head.forward * 0.36 + head.up * 0.5) * head.height_mm;
        let from_bridge = upright - self.frame.crown;
        let high = OVER_STRINGS * from_bridge.dot(self.frame.along).abs() - from_bridge.dot(self.frame.away);
        if high <= 0.0 {
            return upright;
        }
        let bend = self.frame.away * high - self.frame.hand * from_bridge.dot(self.frame.hand);
        upright + bend * (BEND * self.stance.stature_mm / bend.length()).min(1.0)
    }

    /// The instrument stands on the floor.
    pub fn rests_on_floor(&self) -> bool {
        !self.family.on_shoulder()
    }

    /// Along the strings toward the scroll.
    pub fn along(&self) -> Vec3 {
        self.frame.along
    }

    /// Where the endpin meets the floor; of an instrument without one the lower end of its body.
    pub fn foot(&self) -> Vec3 {
        let shape = Shape::of(self.family);
        let end = self.frame.point(self.string_mm, shape.foot());
        if self.rests_on_floor() {
            shape.pin_end(&self.frame, self.string_mm, self.stance.floor)
        } else {
            end
        }
    }

    /// The end of the scroll.
    pub fn scroll(&self) -> Vec3 {
        self.frame.point(self.string_mm, Shape::of(self.family).head())
    }

    /// The bow arm with the bow in its hand, in a pose of a right-handed player.
    pub fn bow_arm(&self, pose: &ArmPose, which: Which) -> Solids {
        let mut solids = Solids::default();
        let held = Held::new(pose, &self.frame, self.family);
        let (sleeve, hand, bow, body) = match which {
            Which::Shown => {
                let bow = [Material::Stick, Material::Ebony, Material::BowHair];
                (Material::Sleeve, Material::Skin, bow, bodies::BOW_SLEEVE)
            }
            Which::Other => {
                (Material::OtherSleeve, Material::OtherHand, [Material::OtherBow; 3], bodies::OTHER_SLEEVE)
            }
        };
        // Thinner, so that the arm that is shown is seen where both lie.
        let thick = if which == Which::Other { 0.92 } else { 1.0 };
        body::sleeve(
            &mut solids,
            (sleeve, body),
            [pose.shoulder, pose.elbow, pose.wrist],
            thick * self.stance.stature_mm,
        );
        held.add(&mut solids, bow);
        hands::bow_hand(&mut solids, hand, &held, pose.wrist, (self.family, self.hold, self.hand_mm));
        if which == Which::Other {
            solids.solids.iter_mut().for_each(|solid| solid.dashed = true);
        }
        solids
    }
}
