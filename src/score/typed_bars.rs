//! Bars as they are typed.

use std::ops::Range;

use super::{Quarters, Score};

/// Bars that a score does not have, or words that name none.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error(
    "give one bar or two, first to last, as 5 or 5-8, in a movement as II:5-8; this part has bars {first} to {last}"
)]
pub struct NoSuchBars {
    first: String,
    last: String,
}

impl Score {
    /// The bars "5" or "5-8", by their printed numbers; "II:5-8" in the second of several sections. Without a
    /// section the first bar of that number counts.
    ///
    /// # Errors
    /// When there are no such bars.
    pub fn bars_named(&self, typed: &str) -> Result<Range<usize>, NoSuchBars> {
        let sections = self.bar_sections();
        let name = |bar: usize| self.bar_name(bar, &sections);
        let (section, numbers) =
            typed.split_once(':').map_or((None, typed), |(s, numbers)| (Some(s), numbers));
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
        let count = self.bars.len();
        let place = (0..count).find(|bar| named(*bar, first));
        // The last one is of the same section.
        let end = place.and_then(|place| {
            (place..count).rev().find(|bar| sections[*bar] == sections[place] && named(*bar, last))
        });
        place
            .zip(end)
            .map(|(first, last)| first..last + 1)
            .ok_or_else(|| NoSuchBars { first: name(0).typed(), last: name(count.saturating_sub(1)).typed() })
    }

    /// Bars as they are typed, for [`Self::bars_named`]; empty for none.
    pub fn typed_bars(&self, bars: Range<usize>) -> String {
        if bars.is_empty() || bars.end > self.bars.len() {
            return String::new();
        }
        let sections = self.bar_sections();
        let first = self.bar_name(bars.start, &sections).typed();
        let last = &self.bars[bars.end - 1].number;
        if bars.len() == 1 { first } else { format!("{first}-{last}") }
    }

    /// From where to where some bars go.
    pub fn span_of(&self, bars: &Range<usize>) -> Option<Range<Quarters>> {
        let bars = self.bars.get(bars.clone())?;
        Some(bars.first()?.start..bars.last()?.end())
    }
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
        let bars = |typed: &str| score.bars_named(typed).ok();
        assert_eq!((bars("II:1-2"), bars("II:1-II:2")), (Some(2..4), Some(2..4)));
        assert_eq!((bars("II:1-I:2"), bars("II:3")), (None, None));
        for range in [0..1, 0..2, 2..3, 2..4] {
            let typed = score.typed_bars(range.clone());
            assert_eq!(bars(&typed), Some(range));
        }
        assert_eq!(score.span_of(&(2..4)), Some(Quarters::from(8)..Quarters::from(16)));
        assert!(Score::default().bars_named("1").is_err());
    }
}
