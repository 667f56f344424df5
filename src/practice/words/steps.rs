//! The way of the bow over a phrase, as a few steps.

use std::ops::Range;

use super::story::Story;
use crate::bowing::Zone;

/// A stroke that takes less of the hair than this is a small one. Assumed.
const SMALL: f64 = 0.22;
/// So many bows that go to and fro between the same places are told together. Assumed.
const SWINGS: usize = 3;

/// So many bows one way, each after a lift, are told together. Assumed.
const LIFTS: usize = 3;

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
    /// Strokes one way, each after a lift, from the part nearest to the frog to that nearest to the tip.
    Lifts(Range<usize>, [Zone; 2]),
}

impl Step {
    /// Its strokes.
    pub fn strokes(&self) -> Range<usize> {
        match self {
            Self::Move(stroke) => *stroke..stroke + 1,
            Self::Stay(strokes, _) | Self::Travel(strokes) => strokes.clone(),
            Self::Swing(strokes, _) | Self::Lifts(strokes, _) => strokes.clone(),
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
            let lifts = self.lifts(first..strokes.end);
            if lifts >= LIFTS {
                let run = first..first + lifts;
                let places = run.clone().flat_map(|stroke| <[Zone; 2]>::from(self.zones(stroke)));
                let (low, high) = (places.clone().min(), places.max());
                steps.extend(low.zip(high).map(|(low, high)| Step::Lifts(run, [low, high])));
                first += lifts;
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
        let places = strokes.clone().flat_map(|stroke| {
            let (start, end) = self.ends(stroke);
            [start, end]
        });
        let (low, high) =
            places.fold((f64::MAX, f64::MIN), |(low, high), place| (low.min(place), high.max(place)));
        let (from, to) = (self.zones(strokes.start).0, self.zones(strokes.end - 1).1);
        let holds = |zone: &Zone| {
            let around = zone.around();
            around.contains(&low) && around.contains(&high)
        };
        let parts = [Zone::Frog, Zone::Tip, Zone::Middle, Zone::LowerHalf, Zone::UpperHalf];
        if let Some(zone) = parts.into_iter().find(holds) {
            steps.push(Step::Stay(strokes, zone));
            return;
        }
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

    /// How many strokes from the first on go the same way, each after a lift; none where the first is not.
    fn lifts(&self, strokes: Range<usize>) -> usize {
        let first = strokes.start;
        let fits = |&stroke: &usize| {
            self.evidence.strokes()[stroke].lift_before
                && self.is_planned(stroke)
                && self.evidence.way(stroke) == self.evidence.way(first)
        };
        if first > 0 && self.is_set_anew(first) { strokes.clone().take_while(fits).count() } else { 0 }
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
