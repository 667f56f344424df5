//! The rules of thumb by which a bowing is judged, as settings: schools differ on many of them.
//!
//! Beside each figure stands where it comes from: a published source, "common practice, no source",
//! "from memory" (recalled, its source not at hand) or "assumed" (our own choice). The starting
//! values are in `assets/catalogue.ron`.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use crate::score::Dynamic;

/// Thresholds of the findings, and which kinds are not told.
///
/// Places are shares of the hair, frog 0 to tip 1.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Rules {
    /// Kinds of finding that are not told at all, by their stable id: what a school does not hold
    /// with is switched off here.
    pub off: BTreeSet<String>,
    /// A stroke that misses less than this does not run out: that much is saved without a thought, mm.
    /// Assumed.
    #[serde(default = "usual_run_out")]
    pub least_run_out_mm: f64,
    /// Nor does one that misses less time: a short stroke takes less bow, and nobody hears it, s. Assumed.
    #[serde(default = "usual_missing")]
    pub least_run_out_s: f64,
    /// A player feels that hair is missing where the plan has to leave the wanted hair of a stroke near
    /// it by this ratio. Assumed.
    #[serde(default = "usual_felt")]
    pub felt_ratio: f64,
    /// A figure that is meant to stay put creeps when it has moved this far, mm. Assumed, from a rule
    /// of common practice without a number ("the start of each down-bow stays where it was").
    pub creep_mm: f64,
    /// A figure is repeated when it comes this many times in a row. Assumed.
    pub creep_times: usize,
    /// Leaving the wanted hair of a stroke by less than this is not told, mm. Assumed.
    pub least_bend_mm: f64,
    /// A stroke is near the player's slowest bow below this multiple of that speed. Assumed.
    pub near_slowest_ratio: f64,
    /// Faster than this the bow is hard to draw calmly, mm/s. From memory.
    #[serde(default = "usual_rush")]
    pub very_fast_mm_per_s: f64,
    /// Loud from this mark on. Assumed.
    pub loud: Dynamic,
    /// Soft up to this mark. Assumed.
    pub soft: Dynamic,
    /// Border between spiccato and sautillé, notes a second: sixteenths at 100 quarters a minute.
    /// Klopčič 2021 after Dounis, quoted in
    /// J. American Viola Society, Fall 2023.
    pub bounce_border_per_s: f64,
    /// The border is crossed when it is passed by this ratio, as it is only "about" there. Assumed.
    pub bounce_slack_ratio: f64,
    /// Chords of three and four notes begin below this place. Common practice ("lower half"), the number
    /// assumed: a chord a little above it still sounds.
    #[serde(default = "usual_chord")]
    pub chord_limit: f64,
    /// This many loud strong beats in a row on up-bows are told. Assumed; the down-bow on strong beats is
    /// common practice with many exceptions.
    pub up_beats_in_a_row: usize,
    /// A retake needs at least this time, s. Assumed.
    pub retake_least_s: f64,
    /// A dynamic that is missed by less than this is not told, dB. Assumed; perceived loudness doubles
    /// with about 10 dB (ISO sone rule, from memory).
    #[serde(default = "usual_loss")]
    pub least_loss_db: f64,
    /// Crossings over a string, or far out, in which a hand that prepares during the whole note before
    /// goes faster than this are told, mm/s. Assumed.
    #[serde(default = "usual_hand")]
    pub hand_mm_per_s: f64,
    /// A crossing is far out beyond this place. Common practice ("the upper third"), the number assumed.
    #[serde(default = "usual_far")]
    pub far_out: f64,
}

impl Rules {
    /// So much hair and time is missing that a player feels it.
    pub fn is_missed(&self, short_mm: f64, short_s: f64) -> bool {
        short_mm >= self.least_run_out_mm && short_s >= self.least_run_out_s
    }
}

// Read from files of a time when there was no such rule.
fn usual_run_out() -> f64 {
    Rules::default().least_run_out_mm
}

fn usual_missing() -> f64 {
    Rules::default().least_run_out_s
}

fn usual_felt() -> f64 {
    Rules::default().felt_ratio
}

fn usual_rush() -> f64 {
    Rules::default().very_fast_mm_per_s
}

fn usual_chord() -> f64 {
    Rules::default().chord_limit
}

fn usual_loss() -> f64 {
    Rules::default().least_loss_db
}

fn usual_hand() -> f64 {
    Rules::default().hand_mm_per_s
}

fn usual_far() -> f64 {
    Rules::default().far_out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::{Family, Setup};

    /// Sixteenths at 100 quarters a minute are 6.67 a second (computed); teachers put the border
    /// "about" there (Klopčič 2021 after Dounis, quoted in J. American Viola
    /// Society, Fall 2023).
    #[test]
    fn the_bouncing_border_is_that_of_sixteenths_at_100() {
        assert!((Rules::default().bounce_border_per_s - 4.0 * 100.0 / 60.0).abs() < 0.05);
    }

    #[test]
    fn figures_out_of_range_are_named() {
        let mut setup = Setup::for_family(Family::Cello);
        assert!(setup.problems().is_empty());
        setup.school.rules.far_out = f64::NAN;
        assert!(setup.problems()[0].starts_with("crossings far out"), "{:?}", setup.problems());
    }
}
