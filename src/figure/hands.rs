//! The hands: on the bow in the hold of the instrument, and on the neck.

use super::{
    Material, Solids,
    bow::Held,
    mesh::{Mesh, Station},
};
use crate::{
    arm::{NeckArm, Vec3},
    setup::{BowHold, Family},
};

/// A finger by its knuckle, its middle joint and its tip, as shares of the hand's length.
type Finger = [[f64; 3]; 3];

/// Thickness of a finger at its knuckle and at its tip, half, as shares of the hand's length.
const THICK: (f64, f64) = (0.050, 0.037);

/// Hand on the bow: four fingers from the forefinger on, and the thumb. In shares of the hand's length
/// from where the bow is held on the stick: along the bow away from the tip, toward the player along
/// the strings, off the strings. Assumed, from how each hold is taught (common practice, no source):
/// on the violin the fingers lie round and the little finger stands on the stick, on the cello they
/// hang over it, the German hold has the frog in the hand.
fn on_bow(family: Family, hold: BowHold) -> ([Finger; 4], Finger) {
    match (family, hold) {
        (Family::Violin | Family::Viola, _) => (
            [
                [[-0.15, 0.07, 0.14], [-0.24, -0.09, 0.15], [-0.22, -0.085, -0.01]],
                [[-0.05, 0.05, 0.17], [-0.10, -0.12, 0.17], [-0.08, -0.085, -0.03]],
                [[0.05, 0.06, 0.165], [0.035, -0.11, 0.165], [0.04, -0.08, -0.03]],
                [[0.145, 0.09, 0.14], [0.165, -0.03, 0.17], [0.16, -0.01, 0.05]],
            ],
            [[0.0, 0.27, 0.0], [-0.04, 0.12, -0.10], [-0.05, 0.03, -0.055]],
        ),
        (_, BowHold::Over) => (
            [
                [[-0.15, 0.19, 0.07], [-0.22, 0.08, 0.15], [-0.22, -0.08, 0.075]],
                [[-0.05, 0.20, 0.09], [-0.09, 0.07, 0.17], [-0.08, -0.12, 0.075]],
                [[0.05, 0.20, 0.085], [0.04, 0.07, 0.165], [0.045, -0.12, 0.075]],
                [[0.145, 0.20, 0.06], [0.16, 0.08, 0.14], [0.16, -0.08, 0.075]],
            ],
            [[0.0, 0.30, -0.06], [-0.04, 0.14, -0.13], [-0.05, 0.01, -0.065]],
        ),
        (_, BowHold::Under) => (
            [
                [[0.17, 0.13, -0.09], [0.02, 0.16, -0.01], [-0.16, 0.06, 0.02]],
                [[0.18, 0.04, -0.11], [0.05, 0.09, 0.05], [-0.08, 0.05, 0.055]],
                [[0.19, -0.05, -0.12], [0.08, -0.09, -0.22], [0.0, -0.03, -0.17]],
                [[0.20, -0.13, -0.12], [0.10, -0.15, -0.24], [0.02, -0.06, -0.23]],
            ],
            [[0.20, 0.16, -0.02], [0.06, 0.13, 0.10], [-0.10, 0.02, 0.06]],
        ),
    }
}

/// A hand of a palm, four fingers and a thumb.
struct Placed {
    wrist: Vec3,
    fingers: [[Vec3; 3]; 4],
    thumb: [Vec3; 3],
    length_mm: f64,
}

impl Placed {
    fn add(&self, solids: &mut Solids, material: Material) {
        let size = self.length_mm;
        let [first, .., last] = &self.fingers;
        let knuckles = self.fingers.iter().fold(Vec3::ZERO, |sum, finger| sum + finger[0]) * 0.25;
        let side = first[0] - last[0];
        let half = side.length() / 2.0;
        let along = (knuckles - self.wrist).unit_or(Vec3::DOWN);
        let on = |share: f64| self.wrist + (knuckles - self.wrist) * share;
        // The palm is widest behind the knuckles, the wrist narrow and round.
        let palm: [Station; 5] = [
            (self.wrist - along * (0.10 * size), 0.125 * size, 0.095 * size),
            (on(0.12), 0.135 * size, 0.095 * size),
            (on(0.45), half + 0.045 * size, 0.085 * size),
            (on(0.85), half + 0.05 * size, 0.065 * size),
            (on(1.0), half + 0.035 * size, 0.052 * size),
        ];
        let body = solids.add(material, Mesh::tube(&palm, side.unit_or(Vec3::DOWN)));
        for (finger, big) in self.fingers.iter().map(|finger| (finger, 1.0)).chain([(&self.thumb, 1.12)]) {
            let [knuckle, joint, tip] = *finger;
            // The last two links of a finger bend together: a bow between joint and tip.
            let bent = (joint + tip) * 0.5 + (joint - knuckle).unit_or(Vec3::DOWN) * (0.018 * size);
            let thick = |share: f64| big * size * (THICK.0 + (THICK.1 - THICK.0) * share);
            let stations = [
                (knuckle, thick(0.0)),
                ((knuckle + joint) * 0.5, thick(0.25)),
                (joint, thick(0.45)),
                (bent, thick(0.75)),
                (tip, thick(1.0)),
            ];
            solids.limb(material, body, Mesh::round(&stations));
        }
    }
}

/// The hand on the bow.
pub(super) fn bow_hand(
    solids: &mut Solids,
    material: Material,
    held: &Held,
    wrist: Vec3,
    (family, hold, length_mm): (Family, BowHold, f64),
) {
    let (fingers, thumb) = on_bow(family, hold);
    let at = |[along, toward, off]: [f64; 3]| {
        held.grip + (held.along * along + held.player * toward + held.off * off) * length_mm
    };
    let hand =
        Placed { wrist, fingers: fingers.map(|finger| finger.map(at)), thumb: thumb.map(at), length_mm };
    hand.add(solids, material);
}

/// The hand on the neck in first position: the forefinger toward the scroll, the fingers come over
/// from the side of the high string, the thumb lies opposite.
pub(super) fn neck_hand(
    solids: &mut Solids,
    arm: &NeckArm,
    (along, treble, away): (Vec3, Vec3, Vec3),
    neck_half_mm: f64,
    (shoulder, length_mm): (bool, f64),
) {
    let size = length_mm;
    let side = neck_half_mm / size;
    let at = |[a, t, w]: [f64; 3]| arm.hand + (along * a + treble * t + away * w) * size;
    let spread = if shoulder { 0.105 } else { 0.13 };
    let finger = |k: usize| {
        // Over the strings the fingers stand a little apart, from the nut on.
        let a = spread * (1.5 - k as f64);
        let out = if k == 3 { -0.02 } else { 0.0 };
        [[0.9 * a, side + 0.11, -0.03 + out], [a, side + 0.115, 0.19 + out], [a, 0.30 * side, 0.095]]
    };
    let thumb = if shoulder {
        [[0.02, side * 0.4, -0.30], [0.10, -side - 0.07, -0.12], [0.13, -side - 0.055, 0.03]]
    } else {
        [[0.0, side + 0.10, -0.22], [0.03, side * 0.6, -0.30], [0.05, -0.5 * side, -0.23]]
    };
    let fingers = [0, 1, 2, 3].map(|k| finger(k).map(at));
    Placed { wrist: arm.wrist, fingers, thumb: thumb.map(at), length_mm }.add(solids, Material::Skin);
}
