//! Where phrases begin.
//!
//! Players breathe at rests, after long notes, at barlines, where the bow is set anew; a phrase has about four
//! bars (common practice, no source). The boundaries are the least-cost way through all that could be one; the
//! costs are assumed.

use std::ops::Range;

use super::story::Story;
use crate::score::{Mark, Quarters, SignKind};

/// So many bars are a phrase, what each bar more or less costs, squared, and what a phrase costs. Assumed.
const BARS: f64 = 4.0;
const PER_BAR: f64 = 0.2;
const A_PHRASE: f64 = 1.0;
/// A phrase has at most so many bars, and so many strokes. Assumed: more do not go into a few sentences.
const MOST_BARS: f64 = 6.0;
const MOST_STROKES: usize = 96;
/// What speaks for a boundary: a rest of so many quarters or more, with its worth; a long note before; a barline;
/// a retake; a new dynamic; a double bar. Assumed.
const RESTS: [((i64, i64), f64); 4] = [((6, 1), 9.0), ((2, 1), 3.0), ((1, 1), 1.6), ((1, 2), 0.7)];
const LONG_NOTE: f64 = 0.6;
const BARLINE: f64 = 0.7;
const RETAKE: f64 = 1.2;
const DYNAMIC: f64 = 0.6;
const DOUBLE: f64 = 9.0;
/// A note is long from so many quarters on. Assumed.
const LONG: i64 = 2;

impl Story<'_> {
    /// The phrases of the bars, as ranges of strokes. The borders are those of the whole movement; strokes that
    /// begin outside the bars are left out.
    pub fn phrases(&self) -> Vec<Range<usize>> {
        let strokes = self.evidence.strokes().len();
        let mut all: Vec<Range<usize>> = Vec::new();
        let mut first = 0;
        while first < strokes {
            let own = self.section(first);
            let end = (first..strokes).find(|&next| self.section(next) != own).unwrap_or(strokes);
            self.divide(first..end, &mut all);
            first = end;
        }
        let inside = |stroke: &usize| self.bars.contains(&self.bar_of(*stroke));
        let clipped = all.into_iter().filter_map(|phrase| {
            let from = phrase.clone().find(inside)?;
            let to = phrase.rev().find(inside)?;
            Some(from..to + 1)
        });
        clipped.collect()
    }

    /// The cheapest borders between the strokes of a movement.
    fn divide(&self, strokes: Range<usize>, all: &mut Vec<Range<usize>>) {
        let count = strokes.len();
        let bar = |stroke: usize| self.bar_position(stroke);
        // Least cost of the phrases up to a stroke, and where the last of them begins.
        let mut best: Vec<(f64, usize)> = vec![(0.0, 0)];
        for end in 1..=count {
            let to = strokes.start + end;
            let until = self.end_position(to - 1);
            let worth = if end == count { 0.0 } else { self.worth(to) };
            let reach = end.saturating_sub(MOST_STROKES)..end;
            let cost = |from: &usize| {
                let length = until - bar(strokes.start + from);
                let over = if length > MOST_BARS { 1e3 } else { 0.0 };
                best[*from].0 + A_PHRASE + PER_BAR * (length - BARS).powi(2) + over - worth
            };
            let costs = reach.map(|from| (cost(&from), from));
            best.push(costs.min_by(|a, b| a.0.total_cmp(&b.0)).unwrap_or((0.0, 0)));
        }
        let mut ends = vec![count];
        while let Some(&end) = ends.last().filter(|end| **end > 0) {
            ends.push(best[end].1);
        }
        ends.reverse();
        all.extend(ends.windows(2).map(|ends| strokes.start + ends[0]..strokes.start + ends[1]));
    }

    /// Where a stroke begins, in bars.
    fn bar_position(&self, stroke: usize) -> f64 {
        self.position(self.onset(self.evidence.first(stroke)))
    }

    fn end_position(&self, stroke: usize) -> f64 {
        self.position(self.end(self.evidence.last_note(stroke)))
    }

    fn position(&self, at: Quarters) -> f64 {
        let score = &self.lesson.score;
        let Some(index) = score.bar_at(at) else { return at.to_f64() / 4.0 };
        let bar = &score.bars[index];
        index as f64 + ((at - bar.start).to_f64() / bar.length.to_f64().max(1e-9)).min(1.0)
    }

    /// What speaks for a phrase that begins with a stroke.
    fn worth(&self, stroke: usize) -> f64 {
        let (before, first) = (self.evidence.last_note(stroke - 1), self.evidence.first(stroke));
        let (last, note) = (self.analysis.note(before), self.analysis.note(first));
        let rest = note.onset - last.end();
        let rests = RESTS.iter().find(|((n, d), _)| rest >= Quarters::new(*n, *d)).map_or(0.0, |rest| rest.1);
        let main = self.evidence.main_note(stroke);
        let begun = Some(self.bar(before)) != self.lesson.score.bar_at(self.onset(main));
        let barline = self.evidence.is_first_beat(main) || rest.is_positive() && begun;
        let dynamic = self.lesson.score.signs_at(note.onset).iter();
        let dynamic = dynamic.filter(|sign| matches!(sign.kind, SignKind::Dynamic(_))).count() > 0;
        let breath = last.marks.contains(&Mark::BreathMark) || last.marks.contains(&Mark::Caesura);
        let ended = self.lesson.score.bars.get(last.bar);
        let double = ended.is_some_and(|bar| bar.double_barline && bar.end() <= note.onset);
        let parts = [
            (true, rests),
            (last.duration >= Quarters::from(LONG), LONG_NOTE),
            (barline, BARLINE),
            (note.retake || breath, RETAKE),
            (dynamic, DYNAMIC),
            (double, DOUBLE),
        ];
        parts.into_iter().filter(|(speaks, _)| *speaks).map(|(_, worth)| worth).sum()
    }
}
