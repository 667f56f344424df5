//! Exact musical time.

use std::{
    cmp::Ordering,
    fmt,
    ops::{Add, AddAssign, Div, Mul, Neg, Sub},
    str::FromStr,
};

use num_rational::Ratio;
use num_traits::{CheckedAdd as _, CheckedDiv as _, CheckedMul as _, Signed as _, Zero as _};
use serde::{Deserialize, Serialize};

/// A musical time or length, as an exact fraction of a quarter note.
///
/// Arithmetic never panics and never wraps: a sum or product whose fraction no longer fits in
/// 64 bits is rounded to the nearest 1/[`Quarters::FALLBACK_GRID`] of a quarter note, which no
/// ordinary score ever needs. Written as text "7/2", or "3" for whole numbers.
#[derive(Clone, Copy, PartialEq, Eq, Hash, Default)]
pub struct Quarters(Ratio<i64>);

impl Quarters {
    /// No time at all.
    pub const ZERO: Self = Self(Ratio::new_raw(0, 1));
    /// One quarter note.
    pub const ONE: Self = Self(Ratio::new_raw(1, 1));
    /// Half a quarter note: an eighth.
    pub const HALF: Self = Self(Ratio::new_raw(1, 2));
    /// One and a half quarter notes: a dotted quarter.
    pub const THREE_HALVES: Self = Self(Ratio::new_raw(3, 2));
    /// Two quarter notes: a half note.
    pub const TWO: Self = Self(Ratio::new_raw(2, 1));
    /// Steps in a quarter note on the grid used when a fraction overflows (2^6 * 3^2 * 5 * 7).
    pub const FALLBACK_GRID: i64 = 20_160;

    /// `numer / denom` quarter notes. A zero `denom` gives zero.
    pub fn new(numer: i64, denom: i64) -> Self {
        if denom == 0 || denom == i64::MIN || numer == i64::MIN {
            return Self::ZERO;
        }
        Self(Ratio::new(numer, denom))
    }

    /// The value rounded to the nearest grid step; not a number gives zero.
    pub fn from_f64(value: f64) -> Self {
        let steps = (value * Self::FALLBACK_GRID as f64).round();
        // `as` saturates, so an absurd value stays a (huge) number instead of a panic.
        Self::new(steps.clamp(-9e18, 9e18) as i64, Self::FALLBACK_GRID)
    }

    /// Numerator of the reduced fraction.
    pub fn numer(self) -> i64 {
        *self.0.numer()
    }

    /// Denominator of the reduced fraction, always positive.
    pub fn denom(self) -> i64 {
        *self.0.denom()
    }

    /// The floating-point number, for drawing and for the tempo map only; the nearest one as long as
    /// both parts of the fraction are below 2^53.
    pub fn to_f64(self) -> f64 {
        *self.0.numer() as f64 / *self.0.denom() as f64
    }

    /// True for zero.
    pub fn is_zero(self) -> bool {
        self.0.is_zero()
    }

    /// True above zero.
    pub fn is_positive(self) -> bool {
        self.0.is_positive()
    }

    /// The distance from zero.
    pub fn abs(self) -> Self {
        Self(self.0.abs())
    }
}

impl Ord for Quarters {
    fn cmp(&self, other: &Self) -> Ordering {
        // Products of 64 bits fit into 128.
        let cross = |a: &Self, b: &Self| i128::from(a.numer()) * i128::from(b.denom());
        cross(self, other).cmp(&cross(other, self))
    }
}

impl PartialOrd for Quarters {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl Add for Quarters {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        // Most music is counted in whole quarter notes, which need no common denominator.
        if self.denom() == 1
            && other.denom() == 1
            && let Some(sum) = self.numer().checked_add(other.numer())
        {
            return Self(Ratio::new_raw(sum, 1));
        }
        self.0.checked_add(&other.0).map_or_else(|| Self::from_f64(self.to_f64() + other.to_f64()), Self)
    }
}

impl AddAssign for Quarters {
    fn add_assign(&mut self, other: Self) {
        *self = *self + other;
    }
}

impl Sub for Quarters {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Quarters {
    type Output = Self;
    fn neg(self) -> Self {
        Self(-self.0)
    }
}

impl Mul for Quarters {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        self.0.checked_mul(&other.0).map_or_else(|| Self::from_f64(self.to_f64() * other.to_f64()), Self)
    }
}

impl Div for Quarters {
    type Output = Self;
    /// Division by zero gives zero.
    fn div(self, other: Self) -> Self {
        if other.is_zero() {
            return Self::ZERO;
        }
        self.0.checked_div(&other.0).map_or_else(|| Self::from_f64(self.to_f64() / other.to_f64()), Self)
    }
}

impl std::iter::Sum for Quarters {
    fn sum<I: Iterator<Item = Self>>(iter: I) -> Self {
        iter.fold(Self::ZERO, Add::add)
    }
}

impl From<i64> for Quarters {
    fn from(value: i64) -> Self {
        Self::new(value, 1)
    }
}

impl fmt::Display for Quarters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.denom() == 1 {
            write!(f, "{}", self.numer())
        } else {
            write!(f, "{}/{}", self.numer(), self.denom())
        }
    }
}

impl fmt::Debug for Quarters {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(self, f)
    }
}

/// The text is not a whole number or a fraction such as "7/2".
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("{0:?} is no fraction of a quarter note; write a whole number or a fraction such as 7/2")]
pub struct BadQuarters(String);

impl FromStr for Quarters {
    type Err = BadQuarters;
    fn from_str(text: &str) -> Result<Self, BadQuarters> {
        let bad = || BadQuarters(text.chars().take(40).collect());
        let (numer, denom) = text.split_once('/').unwrap_or((text, "1"));
        let numer: i64 = numer.trim().parse().map_err(|_| bad())?;
        let denom: i64 = denom.trim().parse().map_err(|_| bad())?;
        if denom <= 0 || numer == i64::MIN {
            return Err(bad());
        }
        Ok(Self::new(numer, denom))
    }
}

impl Serialize for Quarters {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}

impl<'de> Deserialize<'de> for Quarters {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        let text = std::borrow::Cow::<'de, str>::deserialize(deserializer)?;
        text.parse().map_err(serde::de::Error::custom)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thirds_and_fifths_add_up_exactly() {
        let sum = Quarters::new(1, 3) + Quarters::new(2, 5) + Quarters::new(4, 15);
        assert_eq!(sum, Quarters::ONE);
    }

    #[test]
    fn text_is_read_back() {
        for text in ["0", "3", "7/2", "-1/3"] {
            assert_eq!(text.parse::<Quarters>().map(|q| q.to_string()), Ok(text.to_owned()));
        }
        assert!("1/0".parse::<Quarters>().is_err());
        assert!("x".parse::<Quarters>().is_err());
    }

    #[test]
    fn a_sum_too_fine_for_64_bits_is_rounded_not_wrapped() {
        let a = Quarters::new(1, 4_000_000_007);
        let b = Quarters::new(1, 4_000_000_009);
        assert_eq!(a + b, Quarters::ZERO, "rounds to the nearest grid step");
        assert_eq!(Quarters::from(i64::MAX) + Quarters::ONE, Quarters::from_f64(9.3e18));
    }
}
