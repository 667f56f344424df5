//! The bow planes of an instrument, from the curve of its bridge.
//!
//! Convention: the section of the bridge is seen along the strings, with the crown at the origin
//! and y pointing away from the top plate; x is positive on the side away from the bow hand. An
//! angle is positive when the bow hand is farther from the top plate than the contact point. For a
//! right-handed player the positive side is that of the lowest string on violin and viola, and that
//! of the highest string on cello and double bass, since those face away from the player.

use serde::{Deserialize, Serialize};

use crate::setup::Instrument;

/// A bow plane: one string alone, or two neighbouring strings together.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
pub enum Plane {
    /// One string, 1 being the highest.
    String(u8),
    /// This string and the next lower one.
    Pair(u8),
}

impl Plane {
    /// Place in the order string 1, pair 1+2, string 2, ...: 0 to 6 with four strings. Neighbours
    /// in this order are neighbouring levels of the arm.
    pub fn index(self) -> usize {
        match self {
            Self::String(n) => 2 * usize::from(n.saturating_sub(1)),
            Self::Pair(n) => 2 * usize::from(n.saturating_sub(1)) + 1,
        }
    }

    /// The plane with this place in that order.
    pub fn of_index(index: usize) -> Self {
        let string = u8::try_from(index / 2 + 1).unwrap_or(u8::MAX);
        if index.is_multiple_of(2) { Self::String(string) } else { Self::Pair(string) }
    }

    /// The strings the bow touches on it, the highest first.
    pub fn strings(self) -> impl Iterator<Item = u8> {
        match self {
            Self::String(n) => n..=n,
            Self::Pair(n) => n..=n.saturating_add(1),
        }
    }
}

/// One bow plane with its angles.
#[derive(Clone, Debug, PartialEq)]
pub struct Level {
    /// Its strings: "A", "A+D".
    pub name: String,
    /// Angle in the instrument's frame, tilt of the string heights included, degrees.
    pub angle_deg: f64,
    /// Angle with the roll or turn of the instrument taken off, degrees: for violin and viola the
    /// angle of the bow to the floor.
    pub room_deg: f64,
    /// Degrees toward larger angles until another string sounds or the bow touches the waist.
    pub margin_up_deg: f64,
    /// The same toward smaller angles.
    pub margin_down_deg: f64,
    /// Contact point (x, y) in the bridge section, mm; for a pair the middle between its strings.
    pub contact_mm: (f64, f64),
}

/// All bow planes of an instrument.
#[derive(Clone, Debug, PartialEq)]
pub struct LevelFan {
    /// Single strings, highest first.
    pub strings: Vec<Level>,
    /// Pairs; number i is strings i and i + 1.
    pub pairs: Vec<Level>,
}

impl LevelFan {
    /// The bow planes of an instrument.
    ///
    /// The string tops lie on a circle of radius R, equally spaced across the spread W. The bow on
    /// one string is the tangent there, asin(x / R). The chord through two tops is inclined by
    /// exactly the mean of their tangents (geometry of the circle). Uneven string heights turn the
    /// whole curve by atan(difference / W), the bass side up. Heights are measured over the end of
    /// the fingerboard and W at the bridge, so the difference is carried on to the bridge along the
    /// straight strings, which start level at the nut: it grows as the distance from the nut. The
    /// roll of the instrument is taken off for the room.
    ///
    /// A single string owns the angles between its two pairs; the outer strings end at the waist
    /// limit, which lies at the same angle on both sides of the top plate. A pair's margins reach to
    /// the next pair, where a third string sounds. Figures outside their range (see
    /// [`crate::setup::Setup::problems`]) give some finite fan.
    pub fn new(instrument: &Instrument) -> Self {
        let bridge = &instrument.bridge;
        let radius = finite_or(bridge.radius_mm, 50.0).clamp(1.0, 1e4);
        let spread = finite_or(bridge.spread_mm, 40.0).clamp(0.1, 1.999 * radius);
        let roll = finite_or(instrument.roll_deg, 0.0).clamp(-180.0, 180.0);
        let limit = finite_or(bridge.waist_limit_deg, 90.0).clamp(0.0, 90.0);
        let count = instrument.strings.len().max(2);
        // The highest string lies away from the bow hand on cello and bass, toward it on the others.
        let side = if instrument.family.on_shoulder() { -1.0 } else { 1.0 };
        let raised = finite_or(bridge.low_height_mm - bridge.high_height_mm, 0.0)
            / fingerboard_share(instrument.family);
        let turn = side * (raised / spread).atan();

        let x_of = |i: usize| side * spread * (0.5 - i as f64 / (count - 1) as f64);
        let angle_of = |i: usize| (x_of(i) / radius).asin().to_degrees() + turn.to_degrees();
        let top_of = |i: usize| {
            let x = x_of(i);
            let y = (radius * radius - x * x).sqrt() - radius;
            (x * turn.cos() + y * turn.sin(), y * turn.cos() - x * turn.sin())
        };
        let pair_of = |i: usize| (angle_of(i) + angle_of(i + 1)) / 2.0;
        let name_of = |i: usize| instrument.strings.get(i).map_or("?", |string| &string.name).to_owned();
        // Margins from `angle` to its two borders, whichever of them lies up.
        let level = |name: String, angle: f64, borders: [f64; 2], contact_mm: (f64, f64)| Level {
            name,
            angle_deg: angle,
            room_deg: angle - roll,
            margin_up_deg: (borders[0].max(borders[1]) - angle).max(0.0),
            margin_down_deg: (angle - borders[0].min(borders[1])).max(0.0),
            contact_mm,
        };
        let strings = (0..count)
            .map(|i| {
                let above = if i == 0 { side * limit } else { pair_of(i - 1) };
                let below = if i + 1 == count { -side * limit } else { pair_of(i) };
                level(name_of(i), angle_of(i), [above, below], top_of(i))
            })
            .collect();
        let pairs = (0..count - 1)
            .map(|i| {
                let above = if i == 0 { side * limit } else { pair_of(i - 1) };
                let below = if i + 2 == count { -side * limit } else { pair_of(i + 1) };
                let (a, b) = (top_of(i), top_of(i + 1));
                let middle = ((a.0 + b.0) / 2.0, (a.1 + b.1) / 2.0);
                level(format!("{}+{}", name_of(i), name_of(i + 1)), pair_of(i), [above, below], middle)
            })
            .collect();
        Self { strings, pairs }
    }

    /// The level of a plane; a plane this instrument does not have gives the nearest it has.
    pub fn level(&self, plane: Plane) -> &Level {
        match plane {
            Plane::String(n) => &self.strings[usize::from(n).clamp(1, self.strings.len()) - 1],
            Plane::Pair(n) => &self.pairs[usize::from(n).clamp(1, self.pairs.len()) - 1],
        }
    }

    /// Contact point (x, y) in the bridge section with the bow at an angle, mm: between two levels
    /// on the straight way from one contact to the next, outside them that of the outer string.
    pub fn contact_at(&self, angle_deg: f64) -> (f64, f64) {
        let mut levels: Vec<&Level> = self.all().collect();
        levels.sort_by(|a, b| a.angle_deg.total_cmp(&b.angle_deg));
        let above = levels.partition_point(|level| level.angle_deg < angle_deg);
        let (Some(lower), Some(upper)) = (levels.get(above.saturating_sub(1)), levels.get(above)) else {
            return levels.last().map_or((0.0, 0.0), |level| level.contact_mm);
        };
        let gap = upper.angle_deg - lower.angle_deg;
        let share = if gap > 0.0 { (angle_deg - lower.angle_deg) / gap } else { 1.0 };
        let (a, b) = (lower.contact_mm, upper.contact_mm);
        (a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share)
    }

    /// All levels in the order of [`Plane::index`], from the highest string to the lowest.
    pub fn all(&self) -> impl Iterator<Item = &Level> {
        (1..=self.strings.len() as u8).flat_map(|n| {
            let pair = (usize::from(n) < self.strings.len()).then(|| self.level(Plane::Pair(n)));
            std::iter::once(self.level(Plane::String(n))).chain(pair)
        })
    }
}

/// Nut to the end of the fingerboard as a share of the string length: violin and viola 270 of 328
/// mm, cello and double bass 580 of 690 mm. From memory.
fn fingerboard_share(family: crate::setup::Family) -> f64 {
    if family.on_shoulder() { 270.0 / 328.0 } else { 580.0 / 690.0 }
}

fn finite_or(value: f64, other: f64) -> f64 {
    if value.is_finite() { value } else { other }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::{Family, Setup};

    fn fan(family: Family, radius: f64, spread: f64, heights: (f64, f64), roll: f64) -> LevelFan {
        let mut instrument = Setup::for_family(family).instrument;
        instrument.bridge.radius_mm = radius;
        instrument.bridge.spread_mm = spread;
        (instrument.bridge.low_height_mm, instrument.bridge.high_height_mm) = heights;
        instrument.roll_deg = roll;
        LevelFan::new(&instrument)
    }

    fn close(found: f64, expected: f64, within: f64, what: &str) {
        assert!((found - expected).abs() <= within, "{what}: {found} for {expected}");
    }

    /// Computed from the stated inputs, facts of geometry: tangents asin(x / R) and their means.
    #[test]
    fn tangents_and_pairs_of_usual_bridges() {
        use Family::{Cello, DoubleBass, Viola, Violin};
        for (family, radius, spread, outer, inner, pair, whole) in [
            (Violin, 42.0, 33.5, 23.50, 7.64, 15.57, 47.01),
            (Violin, 41.5, 34.0, 24.18, 7.85, 16.02, 48.36),
            (Viola, 42.0, 35.0, 24.62, 7.98, 16.30, 49.25),
            (Viola, 42.0, 36.0, 25.38, 8.21, 16.80, 50.75),
            (Viola, 48.0, 36.0, 22.02, 7.18, 14.60, 44.05),
            (Cello, 64.0, 47.0, 21.54, 7.03, 14.29, 43.08),
            (Cello, 62.0, 47.0, 22.27, 7.26, 14.77, 44.55),
            (DoubleBass, 110.0, 87.0, 23.29, 7.57, 15.43, 46.59),
            (DoubleBass, 90.0, 87.0, 28.90, 9.27, 19.09, 57.81),
            (Violin, 35.1, 28.0, 23.50, 7.64, 15.57, 47.01),
        ] {
            let what = format!("{} {radius} {spread}", family.word());
            let fan = fan(family, radius, spread, (5.0, 5.0), 0.0);
            // Highest string first: away from the bow hand (positive) on cello and bass only.
            let side = if family.on_shoulder() { -1.0 } else { 1.0 };
            for (level, expected) in fan.strings.iter().zip([outer, inner, -inner, -outer]) {
                close(level.angle_deg, side * expected, 0.01, &what);
            }
            for (level, expected) in fan.pairs.iter().zip([pair, 0.0, -pair]) {
                close(level.angle_deg, side * expected, 0.01, &what);
            }
            close((fan.strings[0].angle_deg - fan.strings[3].angle_deg).abs(), whole, 0.01, &what);
        }
    }

    /// Computed from the stated inputs, facts of geometry: sag 3.48 and 0.37 mm below the crown.
    #[test]
    fn string_tops_lie_below_the_crown() {
        let fan = fan(Family::Violin, 42.0, 33.5, (5.0, 5.0), 0.0);
        for (level, sag) in fan.strings.iter().zip([3.48, 0.37, 0.37, 3.48]) {
            close(level.contact_mm.1, -sag, 0.005, &level.name);
        }
        close(fan.strings[3].contact_mm.0, 16.75, 1e-9, "G lies away from the bow hand");
        close(fan.pairs[1].contact_mm.0, 0.0, 1e-9, "D and A lie evenly");
    }

    /// Heights: violin 5.5 and 3.5 mm, cello steel 6.5 and 4.0 mm (published workshop figures, the
    /// cello's from the answers of the Internet Cello Society). Carried on from the end of the
    /// fingerboard to the bridge they tilt the planes by 4.15 and 3.62 degrees, facts of geometry;
    /// as measured they would by 3.42 and 3.04.
    #[test]
    fn a_raised_bass_side_tilts_every_plane() {
        for (family, spread, radius, heights, tilt) in [
            (Family::Violin, 33.5, 42.0, (5.5, 3.5), -4.15),
            (Family::Cello, 47.0, 64.0, (6.5, 4.0), 3.62),
            (Family::Cello, 47.0, 64.0, (8.0, 5.5), 3.62),
        ] {
            let even = fan(family, radius, spread, (5.0, 5.0), 0.0);
            let tilted = fan(family, radius, spread, heights, 0.0);
            for (a, b) in even.all().zip(tilted.all()) {
                close(b.angle_deg - a.angle_deg, tilt, 0.01, &a.name);
            }
            let (high, low) = (tilted.strings[0].contact_mm, tilted.strings[3].contact_mm);
            assert!(low.1 > high.1, "the lowest string is raised");
        }
    }

    /// Computed from the stated inputs, facts of geometry. Roll inside the 20 to 50 degrees tested
    /// by Hildebrandt et al. 2021, Med. Probl. Perform. Art. 36(3):207-217.
    #[test]
    fn roll_lowers_every_plane_alike() {
        for (roll, strings, pairs) in [
            (20.0, [3.5, -12.4, -27.6, -43.5], [-4.4, -20.0, -35.6]),
            (25.0, [-1.5, -17.4, -32.6, -48.5], [-9.4, -25.0, -40.6]),
            (30.0, [-6.5, -22.4, -37.6, -53.5], [-14.4, -30.0, -45.6]),
        ] {
            let fan = fan(Family::Violin, 42.0, 33.5, (5.0, 5.0), roll);
            for (level, expected) in fan.strings.iter().rev().zip(strings) {
                close(level.room_deg, expected, 0.05, &level.name);
            }
            for (level, expected) in fan.pairs.iter().rev().zip(pairs) {
                close(level.room_deg, expected, 0.05, &level.name);
            }
        }
    }

    /// Directions only: the elbow rises from E to G on the violin (Turner-Stokes & Reid 1999, Clin.
    /// Biomech. 14(6):426-433) and the cellist's arm is most raised on A (Hopper et al. 2017, Med.
    /// Probl. Perform. Art. 32(2):85-93).
    #[test]
    fn the_arm_is_highest_where_players_have_it_highest() {
        for family in Family::ALL {
            let fan = LevelFan::new(&Setup::for_family(family).instrument);
            let angles: Vec<f64> = fan.all().map(|level| level.angle_deg).collect();
            assert_eq!(angles.len(), 7);
            let rises = angles.windows(2).all(|two| two[1] > two[0]);
            let falls = angles.windows(2).all(|two| two[1] < two[0]);
            assert_eq!((rises, falls), (family.on_shoulder(), !family.on_shoulder()), "{}", family.word());
        }
    }

    /// Computed from the stated inputs, facts of geometry: the waist limit of 46.3 degrees leaves
    /// 22.8 beyond the tangent on E; the inner strings end at their pairs.
    #[test]
    fn margins_end_at_the_neighbour_or_the_waist() {
        let fan = fan(Family::Violin, 42.0, 33.5, (5.0, 5.0), 25.0);
        close(fan.strings[0].margin_down_deg, 22.8, 0.01, "E to the waist");
        close(fan.strings[0].margin_up_deg, 7.93, 0.01, "E to E+A");
        close(fan.strings[1].margin_down_deg, 7.93, 0.01, "A to E+A");
        close(fan.strings[1].margin_up_deg, 7.64, 0.01, "A to A+D");
        close(fan.strings[3].margin_up_deg, 22.8, 0.01, "G to the waist");
        close(fan.pairs[1].margin_up_deg, 15.57, 0.01, "A+D to D+G");
        close(fan.pairs[2].margin_up_deg, 46.3 - 15.57, 0.01, "D+G to the waist");
    }

    #[test]
    fn planes_are_numbered_from_the_highest_string() {
        let fan = LevelFan::new(&Setup::for_family(Family::Viola).instrument);
        let names: Vec<&str> = fan.all().map(|level| level.name.as_str()).collect();
        assert_eq!(names, ["A", "A+D", "D", "D+G", "G", "G+C", "C"]);
        for (index, level) in fan.all().enumerate() {
            let n = (index / 2 + 1) as u8;
            let plane = if index % 2 == 0 { Plane::String(n) } else { Plane::Pair(n) };
            assert_eq!(plane.index(), index);
            assert_eq!(fan.level(plane), level);
        }
    }

    #[test]
    fn absurd_figures_give_finite_angles() {
        for bad in [f64::NAN, f64::INFINITY, -1.0, 0.0, 1e300] {
            let mut instrument = Setup::for_family(Family::Cello).instrument;
            let bridge = &mut instrument.bridge;
            (bridge.radius_mm, bridge.spread_mm, bridge.low_height_mm) = (bad, bad, bad);
            (bridge.waist_limit_deg, instrument.roll_deg) = (bad, bad);
            instrument.strings.clear();
            let fan = LevelFan::new(&instrument);
            for level in fan.all() {
                for value in [level.angle_deg, level.room_deg, level.margin_up_deg, level.contact_mm.1] {
                    assert!(value.is_finite(), "{bad}");
                }
            }
        }
    }
}
