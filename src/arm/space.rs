//! Points and directions in the room.
//!
//! One frame for everything: x to the player's right, y forward, z up, mm; the origin lies midway
//! between the player's shoulders.

use std::ops::{Add, Mul, Neg, Sub};

/// A point or a direction in the room, mm.
#[derive(Clone, Copy, Debug, PartialEq, Default)]
pub struct Vec3 {
    /// To the player's right.
    pub x: f64,
    /// Forward.
    pub y: f64,
    /// Up.
    pub z: f64,
}

impl Vec3 {
    /// The origin.
    pub const ZERO: Self = Self::new(0.0, 0.0, 0.0);
    /// Toward the floor.
    pub const DOWN: Self = Self::new(0.0, 0.0, -1.0);

    /// From its three parts.
    pub const fn new(x: f64, y: f64, z: f64) -> Self {
        Self { x, y, z }
    }

    /// Inner product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// Cross product.
    pub fn cross(self, other: Self) -> Self {
        Self::new(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// Length, mm.
    pub fn length(self) -> f64 {
        self.x.hypot(self.y).hypot(self.z)
    }

    /// The direction, of length 1; `other` where there is none.
    pub fn unit_or(self, other: Self) -> Self {
        let length = self.length();
        if length > 1e-9 { self * (1.0 / length) } else { other }
    }

    /// The part at a right angle to a direction of length 1.
    pub fn across(self, direction: Self) -> Self {
        self - direction * self.dot(direction)
    }

    /// Seen in a mirror that swaps left and right.
    pub fn mirrored(self) -> Self {
        Self::new(-self.x, self.y, self.z)
    }
}

impl Add for Vec3 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self::new(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vec3 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Vec3 {
    type Output = Self;
    fn neg(self) -> Self {
        self * -1.0
    }
}

impl Mul<f64> for Vec3 {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        Self::new(self.x * factor, self.y * factor, self.z * factor)
    }
}
