//! What a bowing weighs at the least, however it goes on behind its first notes.
//!
//! The bound adds up parts of the weight that the first notes settle, none of them below zero: their
//! marks, retakes, stops and strong beats; their strokes that want more hair than there is; and the
//! best plan of these notes alone. The cost of a plan is a sum over its notes, so the same notes cost
//! no less in the plan of the whole.

use std::collections::BTreeMap;

use crate::{
    advice::standing::{STRONG_BEAT, told_weight},
    analysis::Analysis,
    bowing::{
        Bowing, Join, NOTABLE_RUN_OUT_MM, Piece, Problem, Solution, Verdict, heard_short, marked_path,
        problem, solve,
    },
    lesson::Lesson,
    score::{Direction, Line},
    setup::Rules,
};

use super::{Field, HOOK, MARK, RETAKE, Step, Way};

/// A note and how the note before it, it and the note behind it are reached.
type Place = (usize, [Option<Way>; 3]);

/// Bounds of the bowings of one field.
pub(super) struct Bound<'a> {
    lesson: &'a Lesson,
    analysis: &'a Analysis,
    field: &'a Field,
    /// What a note wants of the bow there, as far as it was asked.
    pieces: BTreeMap<Place, Piece>,
    /// Every finding is told, and so weighs.
    told: bool,
}

impl<'a> Bound<'a> {
    /// None where a note takes time from others than its neighbours, as grace notes do.
    pub fn new(lesson: &'a Lesson, analysis: &'a Analysis, field: &'a Field) -> Option<Self> {
        let told = lesson.setup.school.rules.off.is_empty() && lesson.silenced.is_empty();
        let graced = (0..analysis.bowing.notes.len()).any(|k| analysis.note(k).grace.is_some());
        (!graced).then(|| Self { lesson, analysis, field, pieces: BTreeMap::new(), told })
    }

    /// What every bowing that starts like this weighs at the least.
    pub fn at_least(&mut self, first: &[Step]) -> f64 {
        self.marks(first) + self.pieces(first).map_or(0.0, |pieces| self.plan(pieces))
    }

    /// Changed marks, retakes, stops and strong beats on up-bows.
    fn marks(&self, first: &[Step]) -> f64 {
        let (mut sum, mut slurred) = (0.0, false);
        for (k, (step, now)) in first.iter().zip(self.field.present()).enumerate() {
            let changed = if step.way == now.way { 0.0 } else { MARK };
            sum += match step.way {
                Way::Retake => RETAKE + changed,
                Way::Hook => HOOK + changed,
                // All new slurs of a stroke may be one.
                Way::Slur if !slurred => MARK,
                _ => 0.0,
            };
            slurred = !step.way.starts() && (slurred || step.way == Way::Slur);
            let note = self.analysis.note(k);
            if self.lesson.score.starts_bar(note) && step.way.starts() && step.direction == Direction::Up {
                sum += STRONG_BEAT;
            }
        }
        sum
    }

    /// What these notes want of the bow, but for the last of them: that depends on the note behind
    /// it. None if a bowing like this cannot be written.
    fn pieces(&mut self, first: &[Step]) -> Option<Vec<Piece>> {
        let count = self.field.present().len();
        let known = if first.len() == count { count } else { first.len().saturating_sub(1) };
        let way = |k: usize| first.get(k).map(|step| step.way);
        let places = (0..known).map(|k| (k, [k.checked_sub(1).and_then(way), way(k), way(k + 1)]));
        if places.clone().any(|place| !self.pieces.contains_key(&place)) {
            let steps: Vec<(usize, Step)> = first.iter().copied().enumerate().collect();
            let bowing = self.field.changed(self.field.present(), &steps)?;
            let (_, written) = self.field.write(self.lesson, self.analysis, &bowing, "")?;
            let Lesson { score, setup, pins, .. } = &written;
            let line = Line::new(score);
            let wants = problem(score, setup, pins, &line, &Bowing::new(score, &line, setup));
            self.pieces.extend(places.clone().zip(wants.pieces));
        }
        let piece =
            |(k, ways): Place| Piece { direction: first[k].direction, ..self.pieces[&(k, ways)].clone() };
        Some(places.map(piece).collect())
    }

    /// The best plan of the first notes alone, and where the bow runs out or cannot go on in it.
    fn plan(&self, pieces: Vec<Piece>) -> f64 {
        let whole = &self.analysis.plan.problem;
        let pins = whole.pins.iter().filter(|pin| pin.piece < pieces.len()).cloned().collect();
        let problem = Problem { pieces, pins, weights: whole.weights.clone(), ..*whole };
        let Ok(plan) = solve(&problem) else { return 0.0 };
        let cost = plan.cost - plan.gap;
        if !self.told {
            cost
        } else if plan.impossible.is_empty() {
            // What cannot be played farther on is told instead of what runs out.
            (cost + self.run_outs(&problem, &plan)).min(told_weight(Verdict::Impossible, 1.0))
        } else {
            told_weight(Verdict::Impossible, 1.0)
        }
    }

    /// Run-outs as marked. As long as the plan may change with what follows, those of strokes that
    /// run out wherever they start.
    fn run_outs(&self, problem: &Problem, plan: &Solution) -> f64 {
        let rules = &self.lesson.setup.school.rules;
        let wanted = |pieces: &[Piece]| pieces.iter().map(Piece::wanted_travel_mm).sum::<f64>();
        let strokes = problem.pieces.chunk_by(|_, next| next.join == Join::Same);
        if problem.pieces.len() < self.field.present().len() {
            // A pin may set the bow anew within a stroke.
            let open = problem.usable.1 - problem.usable.0;
            let sure = self.analysis.plan.problem.pins.is_empty();
            return strokes
                .filter(|_| sure)
                .map(|notes| run_out(rules, wanted(notes) - open, wanted(notes)))
                .sum();
        }
        let marked = marked_path(problem, plan);
        let mut first = 0;
        strokes
            .map(|notes| {
                let range = first..first + notes.len();
                first = range.end;
                // Drift may be told as less.
                let spot =
                    marked.run_outs.iter().find(|spot| range.contains(&spot.piece) && spot.drift.is_none());
                spot.map_or(0.0, |spot| {
                    let behind = wanted(&problem.pieces[spot.piece + 1..range.end]);
                    run_out(rules, spot.short_mm + behind, wanted(notes))
                })
            })
            .sum()
    }
}

/// What a run-out weighs at the least that misses so much of what its stroke wants, mm.
fn run_out(rules: &Rules, short_mm: f64, wanted_mm: f64) -> f64 {
    let tiny_mm = rules.tiny_run_out_mm.max(rules.tiny_run_out_share * wanted_mm);
    if short_mm < tiny_mm.max(NOTABLE_RUN_OUT_MM) {
        return 0.0;
    }
    // Of several with one cause the first counts, which may be heard a twentieth less.
    told_weight(Verdict::RunsOut, (heard_short(short_mm) - 0.05).max(0.0))
}
