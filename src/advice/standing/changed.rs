//! How much of the writing differs between two bowings of the same notes.

use std::collections::BTreeMap;

use super::{
    alike::like_before,
    slurs::{cut, join},
};
use crate::{
    advice::difference::marks_changed,
    analysis::{Analysis, Study},
    bowing::Reached,
    score::EventId,
};

/// What a bowing changes of the one before.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Changed {
    /// Bow marks, retakes, slurs, hooks and stroke types that differ.
    pub marks: usize,
    /// Notes that begin a bow and were under a slur.
    pub divided: usize,
    /// Notes that are in one bow with the note before them without a stop and were not.
    pub slurred: usize,
    /// What speaks against these cuts and joins, by where they are.
    pub slurs: f64,
    /// Notes that are joined or divided otherwise than the like one before them, and were not.
    pub unlike: usize,
    /// Bow marks and retakes that stood there and are gone or turned round.
    pub unmarked: usize,
}

impl Changed {
    /// What differs between two lessons of the same notes.
    pub fn between(before: &Study, after: &Study) -> Self {
        let (was, is) = (before.analysis(), after.analysis());
        // A note that is divided moves the numbers of those after it.
        let now: BTreeMap<EventId, usize> =
            (0..is.bowing.notes.len()).map(|k| (is.note(k).id(), k)).collect();
        let joined = |analysis: &Analysis, k: usize| analysis.bowed(k).reached == Reached::SameStroke;
        let marks = marks_changed(&before.lesson().score, &after.lesson().score);
        let mut changed = Self { marks, ..Self::default() };
        let like = like_before(before);
        let mut ways: Vec<Option<(Join, Join)>> = Vec::with_capacity(was.bowing.notes.len());
        for nth in 0..was.bowing.notes.len() {
            let old = was.note(nth);
            let Some(&k) = now.get(&old.id()) else {
                ways.push(None);
                continue;
            };
            let new = is.note(k);
            let way = (Join::of(was, nth), Join::of(is, k));
            if let Some((was, is)) = like[nth].and_then(|like| ways[like]) {
                changed.unlike += usize::from(was == way.0 && is != way.1);
            }
            ways.push(Some(way));
            match (joined(was, nth), joined(is, k)) {
                // What was stopped in the bow is set anew as it is.
                (true, false) if !was.is_stopped(nth) => {
                    changed.divided += 1;
                    changed.slurs += cut(before, nth);
                }
                (false, true) if !is.is_stopped(k) => {
                    changed.slurred += 1;
                    changed.slurs += join(before, nth);
                }
                _ => {}
            }
            let gone = old.bow.is_some() && old.bow != new.bow || old.retake && !new.retake;
            changed.unmarked += usize::from(gone);
        }
        changed
    }
}

/// How a note goes on from the one before it.
#[derive(Clone, Copy, PartialEq)]
enum Join {
    Slurred,
    Stopped,
    Lifted,
    Turned,
}

impl Join {
    fn of(analysis: &Analysis, k: usize) -> Self {
        let bowed = analysis.bowed(k);
        match bowed.reached {
            Reached::SameStroke if analysis.is_stopped(k) => Self::Stopped,
            Reached::SameStroke => Self::Slurred,
            _ if bowed.stolen_s > 0.0 => Self::Lifted,
            _ => Self::Turned,
        }
    }
}
