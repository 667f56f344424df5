//! The player and the bow.

use serde::{Deserialize, Serialize};

use super::Positions;

/// A bow.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bow {
    /// Name shown.
    pub name: String,
    /// Playable hair from frog to head, mm.
    pub hair_mm: f64,
    /// Balance point from the frog end of the hair, mm.
    pub balance_mm: f64,
    /// Mass, g.
    #[serde(default = "sixty_grams")]
    pub mass_g: f64,
}

/// Mass of a violin bow, for lessons saved before the mass was kept.
fn sixty_grams() -> f64 {
    60.0
}

/// A player's own figures.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Player {
    /// Name shown; any label the teacher likes.
    pub name: String,
    /// Slowest whole bow under control, s.
    pub slowest_whole_bow_s: f64,
    /// Fastest whole bow under control, s.
    pub fastest_whole_bow_s: f64,
    /// Hair not used next to the frog, mm.
    pub frog_margin_mm: f64,
    /// Hair not used next to the tip, mm.
    pub tip_margin_mm: f64,
    /// The player's own tip: farthest hair the arm reaches without strain, mm from the frog.
    #[serde(default)]
    pub tip_mark_mm: Option<f64>,
    /// The plan goes no farther toward the tip than the arm reaches on every level.
    #[serde(default)]
    pub tip_from_reach: bool,
    /// Highest left-hand position used, as half steps above the open string that the hand reaches
    /// with its last finger.
    pub reach_half_steps: u8,
    /// Positions of the left hand that are used.
    #[serde(default)]
    pub positions: Positions,
    /// Where this player's bow lives when nothing else speaks, as shares of the hair, frog 0 to
    /// tip 1; without one the middle. Schools differ on where a beginner starts.
    #[serde(default)]
    pub home: Option<(f64, f64)>,
}
