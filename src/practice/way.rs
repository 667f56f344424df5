//! The way through the music as it is played.

use crate::analysis::Study;

/// The stretches of a lesson in the order of its repeats and jumps, s from the start at the practice tempo.
/// One stretch where it has none.
pub fn way_through(study: &Study) -> Vec<(f64, f64)> {
    let (score, analysis) = (&study.lesson().score, study.analysis());
    let order = score.playing_order();
    let bars = score.bars.len();
    let seconds = |bar: usize| match score.bars.get(bar) {
        Some(bar) => analysis.seconds_at(bar.start),
        None => analysis.total_s(),
    };
    order.into_iter().map(|leg| (seconds(leg.start), seconds(leg.end.min(bars)))).collect()
}
