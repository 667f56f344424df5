//! The head, with a face that shows where it looks.

use super::{Material, Solids, body::section, mesh::Mesh, solids::bodies};
use crate::arm::{Head, Vec3};

/// Sections of the head from the chin to the crown, as shares of its height: height, half width,
/// depth to the front and to the back. From the usual proportions of drawing: the eyes half way, the
/// width two thirds of the height. Assumed.
const SKULL: [(f64, f64, f64, f64); 13] = [
    (0.00, 0.085, 0.375, -0.16),
    (0.03, 0.135, 0.405, -0.10),
    (0.10, 0.195, 0.415, -0.02),
    (0.20, 0.250, 0.415, 0.08),
    (0.31, 0.287, 0.415, 0.28),
    (0.42, 0.308, 0.405, 0.40),
    (0.50, 0.320, 0.395, 0.43),
    (0.60, 0.332, 0.412, 0.455),
    (0.72, 0.335, 0.40, 0.46),
    (0.83, 0.305, 0.345, 0.42),
    (0.92, 0.235, 0.25, 0.33),
    (0.975, 0.145, 0.145, 0.21),
    (1.0, 0.045, 0.03, 0.09),
];

/// Sections of the hair in the same way; to the front it ends behind the face.
const HAIR: [(f64, f64, f64, f64); 11] = [
    (0.10, 0.15, -0.12, 0.165),
    (0.20, 0.225, -0.09, 0.25),
    (0.30, 0.272, -0.06, 0.36),
    (0.42, 0.322, -0.03, 0.455),
    (0.54, 0.346, 0.02, 0.495),
    (0.64, 0.360, 0.075, 0.51),
    (0.74, 0.364, 0.20, 0.51),
    (0.82, 0.345, 0.365, 0.48),
    (0.91, 0.285, 0.325, 0.40),
    (0.99, 0.185, 0.20, 0.26),
    (1.03, 0.06, 0.05, 0.10),
];

/// A point of the head by shares of its height: to the right, to the front, up from the chin.
fn place(head: &Head, x: f64, y: f64, z: f64) -> Vec3 {
    head.at + (head.right * x + head.forward * y + head.up * z) * head.height_mm
}

fn lofted(head: &Head, rows: &[(f64, f64, f64, f64)], roundness: f64) -> Mesh {
    let size = head.height_mm;
    let ring = |(z, wide, front, back): &(f64, f64, f64, f64)| {
        // The deepest line lies midway between front and back where they lie on one side.
        let middle = (front - back) / 2.0;
        let deep = (front + back) / 2.0 * size;
        section(
            place(head, 0.0, middle, *z),
            (head.right, head.forward),
            wide * size,
            (deep, deep),
            roundness,
        )
    };
    Mesh::loft(&rows.iter().map(ring).collect::<Vec<_>>())
}

/// Skull, face and hair; all but the pupils.
pub(super) fn head(solids: &mut Solids, head: &Head) {
    let size = head.height_mm;
    let at = |x: f64, y: f64, z: f64| place(head, x, y, z);
    let axes =
        |x: f64, y: f64, z: f64| [head.right * (x * size), head.forward * (y * size), head.up * (z * size)];
    let mut part = |material, mesh| solids.part(material, bodies::HEAD, mesh);
    part(Material::Skin, lofted(head, &SKULL, 2.25));
    // The nose from its root to its tip, and its wings.
    let nose = [(at(0.0, 0.375, 0.52), 0.022), (at(0.0, 0.43, 0.42), 0.030), (at(0.0, 0.475, 0.345), 0.040)];
    part(Material::Skin, Mesh::round(&nose.map(|(at, r)| (at, r * size))));
    for side in [-1.0, 1.0] {
        part(Material::Skin, Mesh::ellipsoid(at(0.042 * side, 0.425, 0.325), axes(0.032, 0.04, 0.03)));
        part(Material::Skin, Mesh::ellipsoid(at(0.325 * side, -0.02, 0.43), axes(0.032, 0.075, 0.125)));
        eye(&mut part, head, side);
        let brow = [(0.075, 0.405, 0.572), (0.145, 0.388, 0.592), (0.225, 0.335, 0.572)];
        let brow = brow.map(|(x, y, z)| (at(x * side, y, z), 0.013 * size));
        part(Material::Hair, Mesh::round(&brow));
    }
    let mouth = [(-0.095, 0.372), (-0.045, 0.408), (0.0, 0.418), (0.045, 0.408), (0.095, 0.372)];
    part(Material::Blush, Mesh::round(&mouth.map(|(x, y)| (at(x, y, 0.185), 0.016 * size))));
    solids.add(Material::Hair, lofted(head, &HAIR, 2.15));
}

/// The pupils of eyes that look at a point.
pub(super) fn pupils(solids: &mut Solids, head: &Head, look_at: Vec3) {
    let size = head.height_mm;
    for side in [-1.0, 1.0] {
        let Eye { middle, along, out } = Eye::of(head, side);
        let look = (look_at - middle).unit_or(head.forward);
        let (aside, down) = (look.dot(along).clamp(-0.5, 0.5), look.dot(head.up).clamp(-0.35, 0.35));
        let pupil =
            middle + along * (0.055 * aside * size) + head.up * (0.025 * down * size) + out * (0.020 * size);
        let round = [along * (0.027 * size), out * (0.016 * size), head.up * (0.029 * size)];
        solids.part(Material::Pupil, bodies::HEAD, Mesh::ellipsoid(pupil, round));
    }
}

/// Where an eye lies: it turns in its socket, the lids in front of it stay.
struct Eye {
    middle: Vec3,
    /// From corner to corner.
    along: Vec3,
    /// Out of the socket.
    out: Vec3,
}

impl Eye {
    fn of(head: &Head, side: f64) -> Self {
        let out = (head.forward * 0.93 + head.right * (0.36 * side)).unit_or(head.forward);
        Self { middle: place(head, 0.135 * side, 0.345, 0.495), along: head.up.cross(out), out }
    }
}

/// One eye without its pupil: the white and the lid.
fn eye(part: &mut impl FnMut(Material, Mesh), head: &Head, side: f64) {
    let size = head.height_mm;
    let Eye { middle, along, out } = Eye::of(head, side);
    let white = [along * (0.062 * size), out * (0.030 * size), head.up * (0.030 * size)];
    part(Material::EyeWhite, Mesh::ellipsoid(middle, white));
    // The upper lid shadows the eye.
    let lid = [-0.066, 0.0, 0.066].map(|x: f64| {
        let arch = 0.034 - 4.0 * x * x;
        (middle + (along * x + head.up * arch + out * (0.026 - 4.0 * x * x)) * size, 0.008 * size)
    });
    part(Material::Hair, Mesh::round(&lid));
}
