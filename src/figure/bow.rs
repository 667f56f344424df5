//! The bow: stick, frog, head and hair.

use super::{Material, Solids, mesh::Mesh};
use crate::{
    arm::{ArmPose, Frame, Vec3},
    setup::Family,
};

/// Height of the stick over the hair at the frog, where it bends nearest, and at the tip, as shares of
/// the hair; length of the frog. Assumed, from the look of a bow.
const FROG_HIGH: f64 = 0.040;
const LOW: f64 = 0.021;
const TIP_HIGH: f64 = 0.033;
const FROG_LONG: f64 = 0.072;

/// The bow where it is held.
pub(super) struct Held {
    /// On the stick, where the hand holds it.
    pub grip: Vec3,
    /// Along the bow away from the tip.
    pub along: Vec3,
    /// Along the strings toward the player.
    pub player: Vec3,
    /// Off the strings.
    pub off: Vec3,
    tip: Vec3,
    hair_mm: f64,
    stick_mm: f64,
}

impl Held {
    /// The bow of a pose.
    pub fn new(pose: &ArmPose, frame: &Frame, family: Family) -> Self {
        let hair_mm = (pose.frog - pose.tip).length();
        let along = (pose.frog - pose.tip).unit_or(frame.hand);
        let off = frame.off_strings(pose.level_deg);
        // Half the thickness of a stick, mm, from makers' measures, from memory; a little more so that it
        // is seen.
        let stick_mm = match family {
            Family::Violin | Family::Viola => 4.9,
            Family::Cello => 5.8,
            Family::DoubleBass => 6.8,
        };
        let grip = pose.hand + off * (FROG_HIGH * hair_mm);
        Self { grip, along, player: frame.player, off, tip: pose.tip, hair_mm, stick_mm }
    }

    /// A point of the bow: shares of the hair from the tip toward the hand, and off the strings; and
    /// mm toward the player.
    fn at(&self, along: f64, off: f64, player_mm: f64) -> Vec3 {
        self.tip + (self.along * along + self.off * off) * self.hair_mm + self.player * player_mm
    }

    /// Adds the bow in these materials: stick and head, frog, hair.
    pub fn add(&self, solids: &mut Solids, [wood, ebony, hair]: [Material; 3]) {
        let height = |share: f64| {
            // Straight between the ends, less the bend toward the hair.
            let straight = TIP_HIGH + (FROG_HIGH - TIP_HIGH) * share;
            let bend = 4.0 * (straight - LOW) * share * (1.0 - share);
            if share <= 1.0 { straight - bend.max(0.0) } else { FROG_HIGH }
        };
        let stations: Vec<_> = (0..=12)
            .map(|k| {
                let share = -0.008 + 1.12 * f64::from(k) / 12.0;
                (self.at(share, height(share.clamp(0.0, 1.2)), 0.0), self.stick_mm * (0.72 + 0.28 * share))
            })
            .collect();
        let body = solids.add(wood, Mesh::round(&stations));
        let flat = |solids: &mut Solids, material, corners: &[(f64, f64)], half_mm: f64| {
            let outline =
                |side: f64| corners.iter().map(|(a, o)| self.at(*a, *o, side * half_mm)).collect::<Vec<_>>();
            solids.limb(material, body, Mesh::slab(&outline(-1.0), &outline(1.0)));
        };
        let head = [
            (-0.012, TIP_HIGH + 0.006),
            (0.03, TIP_HIGH + 0.002),
            (0.012, 0.010),
            (0.006, -0.003),
            (-0.014, 0.003),
        ];
        flat(solids, wood, &head, self.stick_mm * 0.9);
        let frog = [
            (1.0, -0.003),
            (1.0 + FROG_LONG, -0.003),
            (1.0 + FROG_LONG, FROG_HIGH * 0.9),
            (1.012, FROG_HIGH * 0.9),
            (1.0, FROG_HIGH * 0.45),
        ];
        flat(solids, ebony, &frog, self.stick_mm * 1.25);
        let screw = [
            (self.at(1.112, FROG_HIGH, 0.0), self.stick_mm),
            (self.at(1.126, FROG_HIGH, 0.0), self.stick_mm),
        ];
        solids.limb(ebony, body, Mesh::round(&screw));
        let edge = |along: f64, side: f64| self.at(along, 0.0, side * self.stick_mm);
        let under = self.off * -1.0;
        let ribbon = [edge(0.004, -1.0), edge(1.0, -1.0), edge(1.0, 1.0), edge(0.004, 1.0)];
        solids.limb(hair, body, Mesh::slab(&ribbon, &ribbon.map(|p| p + under)));
        solids.thread(hair, self.at(0.004, 0.0, 0.0), self.at(1.0, 0.0, 0.0), 2.5);
    }
}
