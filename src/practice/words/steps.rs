//! The way of the bow over a phrase, as a few steps.

use std::ops::Range;

use super::story::Story;
use crate::{bowing::Zone, score::Direction};

/// A stroke that takes less of the hair than this is a small one. Assumed.
const SMALL: f64 = 0.22;
/// So many bows that go to and fro between the same places are told together. Assumed.
const SWINGS: usize = 3;

/// So many groups of bows that each begin after a lift are told together. Assumed.
const LIFTS: usize = 3;
/// They lie no farther apart than so many parts of the bow, or nothing would be said of where they are. Assumed.
const WIDE: usize = 2;

/// A step of the way.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Step {
    /// One stroke.
    Move(usize),
    /// Strokes that stay in a part of the bow.
    Stay(Range<usize>, Zone),
    /// Small strokes that lead to another part.
    Travel(Range<usize>),
    /// Strokes that go to and fro between two parts.
    Swing(Range<usize>, [Zone; 2]),
    /// Strokes in groups that each begin after a lift.
    Lifts(Lifts),
}

/// Groups of strokes that each begin after a lift.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Lifts {
    pub strokes: Range<usize>,
    pub groups: usize,
    /// Which way all of them begin, where that is one way.
    pub way: Option<Direction>,
    /// The part nearest to the frog and that nearest to the tip.
    pub zones: [Zone; 2],
}

impl Step {
    /// Its strokes.
    pub fn strokes(&self) -> Range<usize> {
        match self {
            Self::Move(stroke) => *stroke..stroke + 1,
            Self::Stay(strokes, _) | Self::Travel(strokes) => strokes.clone(),
            Self::Swing(strokes, _) | Self::Lifts(Lifts { strokes, .. }) => strokes.clone(),
        }
    }
}

impl Story<'_> {
    /// The steps of some strokes; those without a plan are left out.
    pub fn steps(&self, strokes: Range<usize>) -> Vec<Step> {
        let mut steps = Vec::new();
        let mut first = strokes.start;
        while first < strokes.end {
            let goes_on = |next: usize| next == first || !self.is_set_anew(next);
            if !self.is_planned(first) {
                first += 1;
                continue;
            }
            if let Some(lifts) = self.lifts(first..strokes.end) {
                first = lifts.strokes.end;
                steps.push(Step::Lifts(lifts));
                continue;
            }
            let small =
                |&stroke: &usize| self.travel(stroke) < SMALL && self.is_planned(stroke) && goes_on(stroke);
            let run = (first..strokes.end).take_while(small).count();
            if run > 1 {
                self.small(first..first + run, &mut steps);
                first += run;
                continue;
            }
            let swings = self.swings(first..strokes.end);
            if swings >= SWINGS {
                let (from, to) = self.zones(first);
                steps.push(Step::Swing(first..first + swings, [from, to]));
                first += swings;
                continue;
            }
            steps.push(Step::Move(first));
            first += 1;
        }
        steps
    }

    /// The bow goes through the air before a stroke, to another place.
    pub fn is_set_anew(&self, stroke: usize) -> bool {
        let lifted = self.evidence.strokes()[stroke].lift_before;
        lifted && stroke > 0 && Zone::of(self.ends(stroke - 1).1) != self.zones(stroke).0
    }

    /// Small strokes: they stay where they are, or lead somewhere; where they go and come back they are told in
    /// two parts.
    fn small(&self, strokes: Range<usize>, steps: &mut Vec<Step>) {
        if strokes.len() == 1 {
            steps.push(Step::Move(strokes.start));
            return;
        }
        if let Some(zone) = self.part_around(&strokes) {
            steps.push(Step::Stay(strokes, zone));
            return;
        }
        let (from, to) = (self.zones(strokes.start).0, self.zones(strokes.end - 1).1);
        if from != to {
            steps.push(Step::Travel(strokes));
            return;
        }
        let home = self.ends(strokes.start).0;
        let away = |stroke: &usize| (self.ends(*stroke).1 - home).abs();
        let farthest = strokes.clone().max_by(|a, b| away(a).total_cmp(&away(b))).unwrap_or(strokes.start);
        let middle = (farthest + 1).clamp(strokes.start + 1, strokes.end - 1);
        self.small(strokes.start..middle, steps);
        self.small(middle..strokes.end, steps);
    }

    /// The part of the bow in which some strokes stay: that in which they begin, where they stay there, since that
    /// was named just before.
    pub fn part_around(&self, strokes: &Range<usize>) -> Option<Zone> {
        let places = strokes.clone().flat_map(|stroke| <[f64; 2]>::from(self.ends(stroke)));
        let (low, high) =
            places.fold((f64::MAX, f64::MIN), |(low, high), place| (low.min(place), high.max(place)));
        let holds = |zone: &Zone| zone.around().contains(&low) && zone.around().contains(&high);
        let begins = self.zones(strokes.start).0;
        let parts = [begins, Zone::Frog, Zone::Tip, Zone::Middle, Zone::LowerHalf, Zone::UpperHalf];
        parts.into_iter().find(holds)
    }

    /// The groups of strokes from the first on that each begin after a lift: a single stroke, or small ones.
    fn lifts(&self, strokes: Range<usize>) -> Option<Lifts> {
        let (first, all) = (strokes.start, self.evidence.strokes());
        if first == 0 || !self.is_set_anew(first) {
            return None;
        }
        let begins = self.zones(first).0;
        let way = self.evidence.way(first);
        let mut found = Lifts { strokes: first..first, groups: 0, way: Some(way), zones: [begins, begins] };
        while found.strokes.end < strokes.end && all[found.strokes.end].lift_before {
            let start = found.strokes.end;
            let more = (start + 1..strokes.end).take_while(|&stroke| !all[stroke].lift_before).count();
            let group = start..start + 1 + more;
            let fits = |stroke: usize| self.is_planned(stroke) && (more == 0 || self.travel(stroke) < SMALL);
            let places = group.clone().flat_map(|stroke| <[Zone; 2]>::from(self.zones(stroke)));
            let [low, high] = found.zones;
            let (low, high) = places.fold((low, high), |(low, high), zone| (low.min(zone), high.max(zone)));
            let way = found.way.filter(|way| *way == self.evidence.way(start));
            // Single bows one way are told as such, wherever they are.
            let row = way.is_some() && more == 0 && found.groups == found.strokes.len();
            if !group.clone().all(fits) || !row && high as usize - low as usize > WIDE {
                break;
            }
            let strokes = first..group.end;
            found = Lifts { strokes, groups: found.groups + 1, way, zones: [low, high] };
        }
        (found.groups >= LIFTS).then_some(found)
    }

    /// How many strokes from the first on go to and fro between the parts in which the first starts and ends.
    fn swings(&self, strokes: Range<usize>) -> usize {
        let (from, to) = self.zones(strokes.start);
        if from == to {
            return 0;
        }
        let first = strokes.start;
        let fits = |&stroke: &usize| {
            let turned = (stroke - first) % 2 == 1;
            let expected = if turned { (to, from) } else { (from, to) };
            self.is_planned(stroke)
                && self.zones(stroke) == expected
                && (stroke == first || !self.is_set_anew(stroke))
        };
        strokes.clone().take_while(fits).count()
    }
}
