//! Bars as they are typed.

use std::ops::Range;

use crate::score::{Quarters, Score};

use super::Failure;

/// From where to where bars "5" or "5-8" go, by their printed numbers; "II:5-8" in the second of several
/// sections.
pub(super) fn bars_of(score: &Score, bars: &str) -> Result<Range<Quarters>, Failure> {
    let list = &score.bars;
    let sections = score.bar_sections();
    let name = |bar: usize| score.bar_name(bar, &sections);
    let (section, numbers) = bars.split_once(':').map_or((None, bars), |(s, numbers)| (Some(s), numbers));
    let (first, last) = numbers.split_once('-').unwrap_or((numbers, numbers));
    // "II:5-II:8" is the same as "II:5-8".
    let last = match (section, last.split_once(':')) {
        (Some(section), Some((again, number))) if section == again => number,
        _ => last,
    };
    let named = |bar: usize, number: &str| match section {
        Some(section) => name(bar).is(&format!("{section}:{number}")),
        None => name(bar).is(number),
    };
    // Without a section the first bar of that number counts, and the last one is of the same section.
    let place = (0..list.len()).find(|bar| named(*bar, first));
    let end = place.and_then(|place| {
        (place..list.len()).rev().find(|bar| sections[*bar] == sections[place] && named(*bar, last))
    });
    let Some((first, last)) = place.zip(end) else {
        return Err(Failure(format!(
            "--bars {bars}: give one bar or two, first to last, as 5 or 5-8, in a movement as II:5-8; this part has bars {} to {}",
            name(0).typed(),
            name(list.len().saturating_sub(1)).typed(),
        )));
    };
    Ok(list[first].start..list[last].end())
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::score::{Bar, TimeSignature};

    #[test]
    fn a_movement_is_named_once_or_twice() {
        let mut score = Score::default();
        for number in ["1", "2", "1", "2"] {
            let bar = Bar::new(score.end(), Quarters::from(4), number, TimeSignature::new(4, 4), 0);
            score.bars.push(Bar { double_barline: number == "2", ..bar });
        }
        let bars = |typed| bars_of(&score, typed).ok();
        let second = Some(Quarters::from(8)..Quarters::from(16));
        assert_eq!((bars("II:1-2"), bars("II:1-II:2")), (second.clone(), second));
        assert_eq!((bars("II:1-I:2"), bars("II:3")), (None, None));
    }
}
