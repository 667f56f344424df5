//! More at once than anybody plays: what no page of music holds, but a file can.

use std::fmt;

use super::{Bar, Event, Shared};

/// Most notes, chords and rests in one part. Assumed: the longest parts of the orchestra have a third
/// as many.
pub const MOST_NOTES: usize = 100_000;

/// Most notes and rests that begin at one time in one part. Assumed: a cluster for both arms at a
/// keyboard has half as many.
const AT_ONCE: usize = 64;

/// Most grace notes before one beat; the place among them is one byte. Cadenzas in small print have
/// fewer than a hundred (assumed).
const GRACES: usize = 250;

/// A place where more is written than anybody plays.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Crowd {
    bar: String,
    count: usize,
    graces: bool,
}

impl fmt::Display for Crowd {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self { bar, count, graces } = self;
        if *graces {
            write!(f, "bar {bar:?} has {count} grace notes at one place; no player plays more than {GRACES}")
        } else {
            write!(f, "bar {bar:?} has {count} notes at once; no player plays more than {AT_ONCE}")
        }
    }
}

/// The first place, if there is one, where too much is written at once. The events are in score
/// order.
pub(crate) fn crowd(bars: &[Bar], events: &[Shared<Event>]) -> Option<Crowd> {
    for together in events.chunk_by(|a, b| a.onset == b.onset) {
        let size = |event: &Shared<Event>| event.notes.len().max(1);
        let count = |graces| -> usize {
            together.iter().filter(|event| event.grace.is_some() == graces).map(size).sum()
        };
        let found =
            [(true, GRACES), (false, AT_ONCE)].into_iter().find(|&(graces, most)| count(graces) > most);
        if let Some((graces, _)) = found {
            let after = bars.partition_point(|bar| bar.start <= together[0].onset);
            let bar = bars.get(after.saturating_sub(1)).map_or_else(String::new, |bar| bar.number.clone());
            return Some(Crowd { bar, count: count(graces), graces });
        }
    }
    None
}
