//! The bow arm: the bow planes of an instrument, which string and finger each note is played with,
//! how the arm stands on each level, and how it goes from level to level.
//!
//! The room has one frame: x to the player's right, y forward, z up, mm, the origin midway between
//! the shoulders. Everything is worked out for a right-handed player; a left-handed one is the same
//! flipped left to right.

mod bound;
mod care;
mod crossings;
mod cues;
mod frame;
mod hand;
mod left_hand;
mod levels;
mod load;
mod neck;
mod pose;
mod position;
mod posture;
mod reach;
mod refused;
mod space;
mod stance;
mod strings;
mod taste;
mod together;
mod usable;
mod way;

pub use bound::{Bound, Moves, bound};
pub use care::{Care, FAR_PART, Moment, RAISED_DEG, Spells, care};
pub(crate) use crossings::NEARING_PART;
pub use crossings::{Alternation, ArmStep, Crossing, Joint, alternations, crossings};
pub use cues::{FingerCue, finger_cues};
pub use frame::Frame;
pub use hand::{Finger, Hand};
pub use left_hand::LeftHand;
pub use levels::{Level, LevelFan, Plane};
pub use load::{Load, load};
pub use pose::{Arm, ArmPose};
pub use position::Position;
pub use posture::{Travel, hand_travel_mm};
pub use reach::{ElbowCircle, Links};
pub use refused::Way;
pub use space::Vec3;
pub use stance::{CROSSING, Head, Leg, NeckArm, Stance};
pub use strings::{Placement, place, places_alike};
pub use together::{PairPlane, Together, chord_seconds, together};
pub use usable::{TipLimit, reach_words, usable_mm};
