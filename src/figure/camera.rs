//! Where the player is seen from, and how the room comes onto the picture.

use crate::arm::Vec3;

/// From the room to a picture in millimetres, y down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Camera {
    /// To the right of the picture.
    pub right: Vec3,
    /// To the top of the picture.
    pub up: Vec3,
    /// From the picture toward who looks at it.
    pub toward: Vec3,
    /// Where the eye is, for a view that grows smaller with the distance.
    pub eye: Option<Vec3>,
    /// Millimetres of the picture in one of the room, at the distance of the hands from an eye.
    pub scale: f64,
    /// The room's origin, or the middle of what the eye sees, on the picture, mm.
    pub origin: (f64, f64),
    /// Seen in a mirror.
    pub mirrored: bool,
}

/// Distance from the eye at which the scale holds, mm. Assumed: about that of the hands.
pub const NEAR_MM: f64 = 500.0;
/// Nothing nearer to the eye is seen, mm.
const NEAREST_MM: f64 = 20.0;

impl Camera {
    /// Looks from a direction: degrees round the player from straight in front toward the player's
    /// right, and above the level of the shoulders.
    pub fn from(round_deg: f64, above_deg: f64) -> Self {
        let (round, above) = (round_deg.to_radians().sin_cos(), above_deg.to_radians().sin_cos());
        let toward = Vec3::new(round.0 * above.1, round.1 * above.1, above.0);
        let up = Vec3::new(-round.0 * above.0, -round.1 * above.0, above.1);
        let right = up.cross(toward);
        Self { right, up, toward, eye: None, scale: 1.0, origin: (0.0, 0.0), mirrored: false }
    }

    /// Looks from an eye to a point.
    pub fn at_eye(eye: Vec3, target: Vec3) -> Self {
        let toward = (eye - target).unit_or(Vec3::new(0.0, 0.0, 1.0));
        let up = Vec3::new(0.0, 0.0, 1.0).across(toward).unit_or(Vec3::new(0.0, 1.0, 0.0));
        let right = up.cross(toward);
        Self { eye: Some(eye), ..Self { right, up, toward, ..Self::from(0.0, 0.0) } }
    }

    /// The part of a triangle or a line before the eye: its corners, each with what belongs to it, cut where
    /// they come too near (Sutherland & Hodgman 1974, Commun. ACM 17(1):32-42).
    pub(super) fn cut(&self, corners: &[(Vec3, Vec3)]) -> Vec<(Vec3, Vec3)> {
        let Some(eye) = self.eye else { return corners.to_vec() };
        // A little farther, so that rounding takes none of them.
        let beyond = |point: Vec3| (eye - point).dot(self.toward) - 1.01 * NEAREST_MM;
        let mut kept = Vec::with_capacity(4);
        for (k, one) in corners.iter().enumerate() {
            let next = &corners[(k + 1) % corners.len()];
            let (here, there) = (beyond(one.0), beyond(next.0));
            if here >= 0.0 {
                kept.push(*one);
            }
            if (here >= 0.0) != (there >= 0.0) {
                let share = here / (here - there);
                kept.push((one.0 + (next.0 - one.0) * share, one.1 + (next.1 - one.1) * share));
            }
        }
        kept
    }

    /// Place on the picture, mm, and how near it is (larger is nearer; mm, before an eye about mm).
    /// None behind the eye.
    pub fn at(&self, point: Vec3) -> Option<(f64, f64, f64)> {
        let from = self.eye.map_or(point, |eye| point - eye);
        let (x, y, near) = (from.dot(self.right), from.dot(self.up), from.dot(self.toward));
        let factor = match self.eye {
            None => self.scale,
            Some(_) if -near < NEAREST_MM => return None,
            Some(_) => self.scale * NEAR_MM / -near,
        };
        // Before an eye the distance does not change evenly over the picture, its inverse does: it counts mm
        // where the scale holds.
        let near = if self.eye.is_some() { NEAR_MM * NEAR_MM / -near } else { near };
        let x = if self.mirrored { -x } else { x };
        Some((self.origin.0 + factor * x, self.origin.1 - factor * y, near))
    }
}
