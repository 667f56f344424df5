//! Trunk, neck and legs, the sleeves, and what the player sits on.

use super::{
    Material, Solids,
    mesh::{Mesh, Station},
    solids::bodies,
};
use crate::arm::{Leg, NeckArm, Stance, Vec3};

/// Half widths of an arm in a sleeve as shares of the stature, at the shoulder, above the middle of
/// the upper arm, at the elbow, below it, and at the wrist. Assumed, from girths of adults.
const SHOULDER: f64 = 0.0255;
const UPPER: f64 = 0.0275;
const ELBOW: f64 = 0.0225;
const FORE: f64 = 0.0235;
const WRIST: f64 = 0.0165;
/// Corners of a section of the trunk.
const CORNERS: usize = 36;

/// A section of trunk or head: a rounded outline wide to the sides, with a depth of its own to the
/// front and to the back. Roundness 2 is an ellipse, more is squarer.
pub(super) fn section(
    middle: Vec3,
    (right, forward): (Vec3, Vec3),
    wide: f64,
    (front, back): (f64, f64),
    roundness: f64,
) -> Vec<Vec3> {
    let corner = |k: usize| {
        let (sin, cos) = (std::f64::consts::TAU * k as f64 / CORNERS as f64).sin_cos();
        let bent = |v: f64| v.signum() * v.abs().powf(2.0 / roundness);
        let deep = if sin >= 0.0 { front } else { back };
        middle + right * (wide * bent(cos)) + forward * (deep * bent(sin))
    };
    (0..CORNERS).map(corner).collect()
}

/// Trunk with the shirt, neck.
pub(super) fn trunk(solids: &mut Solids, stance: &Stance) {
    let h = |share: f64| share * stance.stature_mm;
    let shoulder = stance.shoulder;
    let half = shoulder.length();
    let across = shoulder.unit_or(Vec3::new(1.0, 0.0, 0.0));
    let ahead = Vec3::new(-across.y, across.x, 0.0);
    // Height over the shoulders, half width as a share of that of the shoulders or of the stature,
    // depth to the front and to the back, roundness.
    let rows: [(f64, f64, f64, f64, f64); 13] = [
        (0.050, h(0.033), 0.025, 0.035, 2.0),
        (0.040, h(0.039), 0.028, 0.039, 2.0),
        (0.031, 0.40 * half, 0.027, 0.044, 2.0),
        (0.022, 0.64 * half, 0.024, 0.049, 2.1),
        (0.012, 0.87 * half, 0.027, 0.055, 2.1),
        (-0.004, 1.00 * half, 0.032, 0.061, 2.2),
        (-0.026, 1.00 * half, 0.043, 0.065, 2.3),
        (-0.060, 0.89 * half, 0.060, 0.066, 2.4),
        (-0.100, 0.79 * half, 0.069, 0.065, 2.4),
        (-0.150, 0.72 * half, 0.065, 0.058, 2.4),
        (-0.205, 0.68 * half, 0.061, 0.054, 2.4),
        (-0.255, 0.71 * half, 0.062, 0.060, 2.4),
        (-0.300, 0.77 * half, 0.063, 0.068, 2.4),
    ];
    let low = stance.pelvis.z - h(0.012);
    let foot = stance.pelvis;
    let rings: Vec<_> = rows
        .iter()
        .map(|(z, wide, front, back, roundness)| {
            // The lowest row lies at the hips, the rows between in proportion; the trunk turns with the
            // shoulders only above the waist.
            let share = (-z / 0.300).clamp(0.0, 1.0);
            let z = if *z > 0.0 { h(*z) } else { low * share };
            let turned = (across * (1.0 - share) + Vec3::new(1.0, 0.0, 0.0) * share).unit_or(across);
            let forward = Vec3::new(-turned.y, turned.x, 0.0);
            let middle = Vec3::new(0.0, foot.y * share - h(0.004) * (1.0 - share), z);
            section(middle, (turned, forward), *wide, (h(*front), h(*back)), *roundness)
        })
        .collect();
    solids.part(Material::Shirt, bodies::TRUNK, Mesh::loft(&rings));
    solids.solids.iter_mut().for_each(|solid| solid.trunk = true);
    // Out of the collar to the skull.
    let skull = stance.head.at + (stance.head.up * 0.26 - stance.head.forward * 0.03) * stance.head.height_mm;
    let root = Vec3::new(0.0, 0.0, h(0.046)) - ahead * h(0.006);
    let ring = |share: f64, wide: f64, deep: f64| {
        section(root + (skull - root) * share, (across, ahead), h(wide), (h(deep), h(deep)), 2.0)
    };
    let rings =
        [ring(0.0, 0.031, 0.032), ring(0.3, 0.0285, 0.030), ring(0.7, 0.028, 0.029), ring(1.0, 0.026, 0.027)];
    solids.part(Material::Skin, bodies::HEAD, Mesh::loft(&rings));
}

/// Upper arm and forearm in a sleeve.
pub(super) fn sleeve(
    solids: &mut Solids,
    (material, body): (Material, u16),
    joints: [Vec3; 3],
    stature_mm: f64,
) {
    let [shoulder, elbow, wrist] = joints;
    let h = |share: f64| share * stature_mm;
    let on = |a: Vec3, b: Vec3, share: f64| a + (b - a) * share;
    let upper = [
        (shoulder, h(SHOULDER)),
        (on(shoulder, elbow, 0.2), h(UPPER)),
        (on(shoulder, elbow, 0.45), h(UPPER)),
        (on(shoulder, elbow, 0.8), h(ELBOW * 1.04)),
        (elbow, h(ELBOW)),
    ];
    let lower = [
        (elbow, h(ELBOW)),
        (on(elbow, wrist, 0.22), h(FORE)),
        (on(elbow, wrist, 0.5), h(FORE * 0.94)),
        (on(elbow, wrist, 0.8), h(WRIST * 1.12)),
        (on(elbow, wrist, 0.93), h(WRIST * 1.02)),
    ];
    solids.part(material, body, Mesh::round(&upper));
    solids.part(material, body, Mesh::round(&lower));
}

/// The sleeve of the arm at the neck: one body with the trunk.
pub(super) fn neck_sleeve(solids: &mut Solids, arm: &NeckArm, stature_mm: f64) {
    sleeve(solids, (Material::Shirt, bodies::TRUNK), [arm.shoulder, arm.elbow, arm.wrist], stature_mm);
}

/// Trousers and shoes.
pub(super) fn legs(solids: &mut Solids, stance: &Stance) {
    let h = |share: f64| share * stance.stature_mm;
    let on = |a: Vec3, b: Vec3, share: f64| a + (b - a) * share;
    let hips = stance.pelvis;
    let (right, forward) = (Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0));
    let seat = |z: f64, wide: f64, front: f64, back: f64| {
        section(hips + Vec3::new(0.0, 0.0, h(z)), (right, forward), h(wide), (h(front), h(back)), 2.4)
    };
    let rings = [
        seat(-0.012, 0.095, 0.056, 0.062),
        seat(-0.015, 0.096, 0.057, 0.063),
        seat(-0.03, 0.099, 0.057, 0.067),
        seat(-0.05, 0.088, 0.05, 0.058),
    ];
    solids.part(Material::Trousers, bodies::LEGS, Mesh::loft(&rings));
    for Leg { hip, knee, ankle, toe } in stance.legs {
        let down = Vec3::DOWN * h(0.008);
        let thigh = [
            (on(hip, knee, 0.12) + down, h(0.046)),
            (on(hip, knee, 0.4), h(0.045)),
            (on(hip, knee, 0.8), h(0.037)),
            (knee, h(0.033)),
        ];
        let shank = [
            (knee, h(0.033)),
            (on(knee, ankle, 0.3), h(0.034)),
            (on(knee, ankle, 0.75), h(0.028)),
            (on(knee, ankle, 0.96), h(0.027)),
        ];
        for part in [&thigh, &shank] {
            solids.part(Material::Trousers, bodies::LEGS, Mesh::round(part));
        }
        let ahead = (toe - ankle).across(Vec3::DOWN).unit_or(forward);
        let sole =
            |at: Vec3, z: f64| Vec3::new(at.x, at.y, stance.floor + (toe.z - stance.floor - h(0.018)) + h(z));
        let shoe: [Station; 4] = [
            (sole(ankle - ahead * h(0.022), 0.02), h(0.018), h(0.02)),
            (sole(ankle + ahead * h(0.02), 0.024), h(0.021), h(0.024)),
            (sole(on(ankle, toe, 0.65), 0.018), h(0.025), h(0.018)),
            (sole(toe, 0.013), h(0.018), h(0.013)),
        ];
        solids.add(Material::Shoes, Mesh::tube(&shoe, ahead.cross(Vec3::DOWN)));
    }
}

/// The floor, and the chair or stool.
pub(super) fn seat(solids: &mut Solids, stance: &Stance, stool: bool) {
    let h = |share: f64| share * stance.stature_mm;
    let (right, forward) = (Vec3::new(1.0, 0.0, 0.0), Vec3::new(0.0, 1.0, 0.0));
    let disc = |middle: Vec3, r: f64, thick: f64, roundness: f64| {
        let ring = |at: Vec3| section(at, (right, forward), r, (r, r), roundness);
        Mesh::slab(&ring(middle), &ring(middle - Vec3::new(0.0, 0.0, thick)))
    };
    let floor = Vec3::new(0.0, h(0.12), stance.floor);
    // As thin as paper: no edge of it is seen.
    solids.add(Material::Floor, disc(floor, h(0.36), h(0.0002), 2.0));
    let Some(z) = stance.seat else { return };
    let middle = Vec3::new(0.0, stance.pelvis.y + h(0.02), z);
    let (r, roundness, thick) = if stool { (h(0.10), 2.0, h(0.02)) } else { (h(0.125), 5.0, h(0.014)) };
    let body = solids.add(Material::Seat, disc(middle, r, thick, roundness));
    let foot = |x: f64, y: f64, out: f64| {
        let top = middle + Vec3::new(x * r * 0.8, y * r * 0.8, -thick);
        let low = Vec3::new(middle.x + x * r * out, middle.y + y * r * out, stance.floor + h(0.006));
        Mesh::round(&[(top, h(0.008)), (low, h(0.0065))])
    };
    for (x, y) in [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0)] {
        let (spread, out) = if stool { (0.72, 1.15) } else { (1.0, 0.86) };
        solids.part(Material::Seat, body, foot(x * spread, y * spread, out));
    }
    if stool {
        let ring: Vec<_> = (0..=24)
            .map(|k| {
                let (sin, cos) = (std::f64::consts::TAU * f64::from(k) / 24.0).sin_cos();
                (
                    Vec3::new(middle.x + 0.98 * r * cos, middle.y + 0.98 * r * sin, stance.floor + h(0.10)),
                    h(0.006),
                )
            })
            .collect();
        solids.part(Material::Seat, body, Mesh::round(&ring));
        return;
    }
    // The back of the chair, low enough to leave the back free. From behind the arm is seen through it as
    // through the trunk.
    let back = solids.solids.len();
    let post = |x: f64, up: f64| middle + Vec3::new(x * r * 0.86, -0.86 * r - h(0.02) * up / 0.2, h(up));
    for x in [1.0, -1.0] {
        solids.part(
            Material::Seat,
            body,
            Mesh::round(&[(post(x, -0.01), h(0.008)), (post(x, 0.2), h(0.0075))]),
        );
    }
    let rest: [Station; 3] = [
        (post(-1.0, 0.17), h(0.006), h(0.024)),
        (post(0.0, 0.17) - forward * h(0.012), h(0.006), h(0.024)),
        (post(1.0, 0.17), h(0.006), h(0.024)),
    ];
    solids.part(Material::Seat, body, Mesh::tube(&rest, forward));
    solids.solids[back..].iter_mut().for_each(|solid| solid.trunk = true);
}
