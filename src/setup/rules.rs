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
    /// A run-out that misses less than this is tight, not a run-out, mm. Assumed.
    pub tiny_run_out_mm: f64,
    /// So is one that misses less than this share of what the stroke wants: saving a twentieth is not
    /// heard. Assumed.
    pub tiny_run_out_share: f64,
    /// A drift slower than this is mended by any player without thinking and only worth a look, mm a
    /// bar. Assumed.
    pub slow_drift_mm_per_bar: f64,
    /// A figure that is meant to stay put creeps when it has moved this far, mm. Assumed, from a rule
    /// of common practice without a number ("the start of each down-bow stays where it was").
    pub creep_mm: f64,
    /// A figure is repeated when it comes this many times in a row. Assumed.
    pub creep_times: usize,
    /// In an uneven pair the short stroke that wins the bow back is fast from this multiple of its
    /// wanted speed on. Assumed; that speeds go as times is computed.
    pub fast_return_ratio: f64,
    /// A note takes too much of its slur from this multiple of its share of the time on. Assumed;
    /// equal shares for equal notes are common practice, no source.
    pub slur_share_ratio: f64,
    /// Jumps of speed between neighbours without an accent: worth a look, tight, heard by anybody.
    /// Assumed; that sudden changes of speed are avoided is common practice, no source.
    pub speed_jump: [f64; 3],
    /// Bending a note by less hair than this is not told, mm. Assumed.
    pub least_bend_mm: f64,
    /// A stroke is near the player's slowest bow below this multiple of that speed. Assumed.
    pub near_slowest_ratio: f64,
    /// Bow speeds that are worth a look, and that are tight, mm/s. From memory.
    pub rush_mm_per_s: [f64; 2],
    /// A loud slur that wants this share of the usable hair is better split. Assumed; that splitting
    /// is the first remedy is common practice, no source.
    pub split_hair_share: f64,
    /// Loud from this mark on. Assumed.
    pub loud: Dynamic,
    /// Soft up to this mark. Assumed.
    pub soft: Dynamic,
    /// The light end of the bow begins here. Common practice ("upper third"), the number assumed.
    pub tip_part: f64,
    /// The heavy end of the bow ends here. Common practice, the number assumed.
    pub frog_part: f64,
    /// A silence before a soft entry counts from this length on, s. Assumed.
    pub silence_s: f64,
    /// A sudden soft should begin beyond this place. From memory; the number assumed.
    pub sudden_soft_from: f64,
    /// A stroke type may be this far outside its home region. Assumed.
    pub home_slack: f64,
    /// Border between spiccato and sautillé, notes a second: sixteenths at 100 quarters a minute.
    /// Klopčič 2021 after Dounis, quoted in
    /// J. American Viola Society, Fall 2023.
    pub bounce_border_per_s: f64,
    /// The border is crossed when it is passed by this ratio, as it is only "about" there. Assumed.
    pub bounce_slack_ratio: f64,
    /// Where hooked dotted figures live. Common practice ("the middle"), the numbers assumed.
    pub hook_region: (f64, f64),
    /// Chords of three and four notes begin below this place. Common practice ("lower half").
    pub chord_below: f64,
    /// Accents begin below this place. Common practice, the number assumed.
    pub accent_below: f64,
    /// This many strong beats in a row on up-bows are told. Assumed; the down-bow on strong beats is
    /// common practice with many exceptions.
    pub up_beats_in_a_row: usize,
    /// Hairpins shorter than this are not told, s. Assumed.
    pub least_swell_s: f64,
    /// For a crescendo on a down-bow at most this share of the bow in the first half of the time.
    /// From memory.
    pub front_share: f64,
    /// A retake needs at least this time, s. Assumed (0.15 to 0.4 s are proposed).
    pub retake_least_s: f64,
    /// A start this far from where the stroke wants to begin is told, mm. Assumed.
    pub start_slack_mm: f64,
    /// A dynamic that is missed by less than this is not told, dB. Assumed; perceived loudness doubles
    /// with about 10 dB (ISO sone rule, from memory).
    #[serde(default = "usual_loss")]
    pub least_loss_db: f64,
    /// Crossings in which the hand goes faster than this are told, mm/s. Assumed.
    #[serde(default = "usual_crossing")]
    pub crossing_mm_per_s: f64,
}

impl Rules {
    /// A run-out that misses so little of what its stroke wants, mm, is only tight.
    pub fn is_tiny_run_out(&self, short_mm: f64, wanted_mm: f64) -> bool {
        short_mm < self.tiny_run_out_mm.max(self.tiny_run_out_share * wanted_mm)
    }
}

// Read from files of a time when there was no such rule.
fn usual_loss() -> f64 {
    Rules::default().least_loss_db
}

fn usual_crossing() -> f64 {
    Rules::default().crossing_mm_per_s
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
        setup.school.rules.tip_part = f64::NAN;
        assert!(setup.problems()[0].starts_with("start of the tip part"), "{:?}", setup.problems());
    }
}
