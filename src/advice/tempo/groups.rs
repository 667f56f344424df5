//! What is alike is told once, with the bars in which it is so.

use std::collections::{BTreeMap, BTreeSet};

use crate::score::{EventId, Score};

use super::spots::LadderSpot;

/// Strokes of which the same is to be said.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderGroup {
    /// What is to be said.
    pub words: String,
    /// Where, in the order of the music.
    pub places: Vec<LadderPlace>,
    /// It is so at every tempo tried.
    pub always: bool,
}

/// Bars that are named together, or a stroke inside a bar.
#[derive(Clone, Debug, PartialEq)]
pub struct LadderPlace {
    /// First written note of the first stroke in them.
    pub event: EventId,
    /// "bar 7", "bars 1 to 4", "bar 3, beat 3".
    pub words: String,
}

/// Puts strokes together of which the same is to be said.
pub(super) fn groups(score: &Score, spots: &[LadderSpot]) -> Vec<LadderGroup> {
    // A bar in which strokes fare differently does not name one of them.
    let mut said: BTreeMap<usize, BTreeSet<&str>> = BTreeMap::new();
    for spot in spots {
        for bar in spot.bars.0..=spot.bars.1 {
            said.entry(bar).or_default().insert(&spot.words);
        }
    }
    let mut groups: Vec<(&LadderSpot, Vec<&LadderSpot>)> = Vec::new();
    for spot in spots {
        match groups.iter_mut().find(|(first, _)| first.words == spot.words) {
            Some((_, members)) => members.push(spot),
            None => groups.push((spot, vec![spot])),
        }
    }
    let told = |(first, members): (&LadderSpot, Vec<&LadderSpot>)| {
        let alone = |spot: &&LadderSpot| (spot.bars.0..=spot.bars.1).all(|bar| said[&bar].len() == 1);
        let (whole, inside): (Vec<_>, Vec<_>) = members.into_iter().partition(alone);
        let mut places = named(score, whole.into_iter().map(|spot| (spot.event, spot.bars)));
        let sections = score.bar_sections();
        places.extend(inside.into_iter().map(|spot| {
            let over = if spot.bars.1 > spot.bars.0 {
                format!(" to {}", score.bar_name(spot.bars.1, &sections).words())
            } else {
                String::new()
            };
            LadderPlace { event: spot.event, words: format!("{}{over}", spot.place) }
        }));
        LadderGroup { words: first.words.clone(), places, always: first.bands.len() == 1 }
    };
    groups.into_iter().map(told).collect()
}

/// The bars of strokes in words, neighbours together.
pub(super) fn named(
    score: &Score,
    strokes: impl Iterator<Item = (EventId, (usize, usize))>,
) -> Vec<LadderPlace> {
    let mut runs: Vec<(EventId, (usize, usize))> = Vec::new();
    for (event, (first, last)) in strokes {
        match runs.last_mut().filter(|(_, run)| first <= run.1 + 1) {
            Some((_, run)) => run.1 = run.1.max(last),
            None => runs.push((event, (first, last))),
        }
    }
    let sections = score.bar_sections();
    let name = |bar| score.bar_name(bar, &sections);
    let words = |(first, last): (usize, usize)| name(first).words_to(&name(last));
    runs.into_iter().map(|(event, bars)| LadderPlace { event, words: words(bars) }).collect()
}

impl LadderPlace {
    /// "bars 1 to 4; bar 7".
    pub fn all(places: &[Self]) -> String {
        places.iter().map(|place| place.words.as_str()).collect::<Vec<_>>().join("; ")
    }
}
