//! Bars as they are typed.

use std::ops::Range;

use crate::score::{Quarters, Score};

use super::Failure;

/// From where to where bars "5" or "5-8" go, see [`Score::bars_named`].
pub(super) fn bars_of(score: &Score, typed: &str) -> Result<Range<Quarters>, Failure> {
    let bars = bar_range(score, typed)?;
    Ok(score.bars[bars.start].start..score.bars[bars.end - 1].end())
}

/// The bars "5" or "5-8", as indices, see [`Score::bars_named`].
pub(super) fn bar_range(score: &Score, typed: &str) -> Result<Range<usize>, Failure> {
    score.bars_named(typed).map_err(|error| Failure(format!("--bars {typed}: {error}")))
}

/// A bar given as "8", or as "II:8", is one of the score's.
pub(super) fn bar_exists(score: &Score, bar: &str) -> Result<(), Failure> {
    let sections = score.bar_sections();
    let name = |bar: usize| score.bar_name(bar, &sections);
    if (0..score.bars.len()).any(|at| name(at).is(bar)) {
        return Ok(());
    }
    Err(Failure(format!(
        "--at {bar}: there is no such bar; give one as 8, in a movement as II:8; this part has bars {} to {}",
        name(0).typed(),
        name(score.bars.len().saturating_sub(1)).typed(),
    )))
}
