//! The instrument in the room, as each family holds it.
//!
//! Violin and viola rest on the left collar bone, the strings pointing forward and to the left,
//! the treble side rolled down. The cello leans back against the breastbone, the double bass with
//! the rim of its back against the left side of the belly, both facing away from the player and turned
//! so that the bow hand comes nearer to the body. Where they touch the body is a share of the stature,
//! where on the instrument that is and where the bow crosses the strings shares of the string length;
//! all of these shares are assumed, chosen so that an adult reaches what adults are seen to reach.

use crate::setup::{Family, Setup};

use super::Vec3;

/// The instrument's own directions in the room. The bow lies in the plane of `hand` and `away`, at
/// a right angle to the strings.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Crown of the bridge curve, moved along the strings to where the bow crosses them.
    pub crown: Vec3,
    /// Along the strings toward the scroll.
    pub along: Vec3,
    /// Across the strings toward the bow hand.
    pub hand: Vec3,
    /// Away from the top plate.
    pub away: Vec3,
    /// Along the strings on the side where the player is.
    pub player: Vec3,
}

/// Where the instrument touches the body.
struct Rest {
    /// The place on the body as shares of the stature.
    body: Vec3,
    /// The place on the instrument, shares of the string length as in [`Frame::point`]: on the lower end
    /// of a violin's back, the upper rim of a cello's back, the rim of a bass's back where its upper
    /// part is widest.
    instrument: (f64, f64, f64),
}

impl Rest {
    fn of(family: Family) -> Self {
        let (body, instrument) = match family {
            Family::Violin | Family::Viola => ((-0.03, 0.025, -0.003), (-0.48, 0.0, -0.23)),
            Family::Cello => ((-0.03, 0.064, -0.120), (0.58, 0.0, -0.26)),
            Family::DoubleBass => ((-0.0493, -0.0074, -0.1566), (0.45, 0.235, -0.2985)),
        };
        let (x, y, z) = body;
        Self { body: Vec3::new(x, y, z), instrument }
    }
}

impl Frame {
    /// The instrument of a set-up held by a right-handed player.
    pub fn new(setup: &Setup) -> Self {
        let hold = setup.held();
        let family = setup.instrument.family;
        let angle = |deg: f64| if deg.is_finite() { deg.clamp(-180.0, 180.0).to_radians() } else { 0.0 };
        let (along, level_hand, up, player);
        if family.on_shoulder() {
            let (yaw, pitch) = (angle(hold.yaw_deg).sin_cos(), angle(hold.pitch_deg).sin_cos());
            along = Vec3::new(-yaw.0 * pitch.1, yaw.1 * pitch.1, pitch.0);
            level_hand = Vec3::new(yaw.1, yaw.0, 0.0);
            up = level_hand.cross(along);
            player = -along;
        } else {
            let (lean, side) = (angle(hold.lean_deg).sin_cos(), angle(hold.side_deg).sin_cos());
            along = Vec3::new(-side.0 * lean.1, -lean.0, side.1 * lean.1);
            level_hand = Vec3::new(side.1, 0.0, side.0);
            up = along.cross(level_hand);
            player = along;
        }
        // Roll or turn: the side of the bow hand goes toward the back of the instrument.
        let (sin, cos) = angle(setup.instrument.roll_deg).sin_cos();
        let hand = level_hand * cos - up * sin;
        let away = up * cos + level_hand * sin;
        let rest = Rest::of(family);
        let string = setup.instrument.string_length_mm;
        let string = if string.is_finite() { string.clamp(1.0, 1e6) } else { 330.0 };
        let held = Self { crown: Vec3::ZERO, along, hand, away, player };
        let crown = rest.body * setup.body.stature_mm() - held.point(string, rest.instrument);
        Self { crown, ..held }
    }

    /// Direction from the string to the bow hand, length 1, with the bow at this angle of
    /// [`super::Level::angle_deg`].
    pub fn bow(&self, level_deg: f64) -> Vec3 {
        let (sin, cos) = level_deg.to_radians().sin_cos();
        self.hand * cos + self.away * sin
    }

    /// From the bow away from the strings, at a right angle to both.
    pub fn off_strings(&self, level_deg: f64) -> Vec3 {
        let (sin, cos) = level_deg.to_radians().sin_cos();
        self.away * cos - self.hand * sin
    }

    /// A point of the bridge section ([`super::Level::contact_mm`]) in the room.
    pub fn contact(&self, (x, y): (f64, f64)) -> Vec3 {
        self.crown - self.hand * x + self.away * y
    }
}
