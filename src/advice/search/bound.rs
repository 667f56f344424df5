//! What a bowing weighs at the least, however it goes on behind its first notes.
//!
//! The bound adds up parts of the weight that the first notes settle, none of them below zero: their
//! marks, slurs and directions; their strokes that want more hair than there is; and the
//! best plan of these notes alone. The cost of a plan is a sum over its notes, so the same notes cost
//! no less in the plan of the whole.

use std::collections::BTreeMap;

use crate::{
    bowing::{Join, Lean, Piece, Problem, Solution, Verdict, heard_short, leans, problem, run_outs, solve},
    score::Direction,
};

use super::{
    super::standing::{LEANING, MARK, cut, join, told_weight},
    choice::{Choice, Link},
    field::Field,
    write::Written,
};

/// A stroke with what its notes want depends on: its first note, how the note before it, its notes and the
/// note behind it are linked, and its direction.
type Whole = (usize, Option<Link>, Vec<Link>, Option<Link>, Direction);

/// Bounds of the bowings of one field.
pub(super) struct Bound<'a> {
    field: &'a Field,
    /// What the notes of a stroke want of the bow, as far as it was asked.
    pieces: BTreeMap<Whole, Vec<Piece>>,
    /// What speaks against a bow that begins with each note, and against a down-bow that ends with it.
    leans: Vec<Lean>,
    ends: Vec<f64>,
    /// What speaks against a cut before each note, and against a slur to it.
    cuts: Vec<f64>,
    joins: Vec<f64>,
    /// Every finding is told, and so weighs.
    told: bool,
}

impl<'a> Bound<'a> {
    /// None where a note takes time from notes beyond its stroke, as grace notes do.
    pub fn new(field: &'a Field) -> Option<Self> {
        let (lesson, analysis) = (field.study().lesson(), field.study().analysis());
        let told = lesson.setup.school.rules.off.is_empty() && lesson.silenced.is_empty();
        let graced = (0..field.present().len()).any(|k| analysis.note(k).grace.is_some());
        let leanings = &lesson.setup.school.leanings;
        let next = |k: usize| analysis.line.notes.get(analysis.bowed(k).note + 1);
        let end = |k: usize| Lean::end(&lesson.score, analysis.note(k), next(k), leanings);
        (!graced).then(|| Self {
            field,
            pieces: BTreeMap::new(),
            leans: leans(&lesson.score, &analysis.line, &lesson.setup),
            ends: (0..field.present().len()).map(end).collect(),
            cuts: (0..field.present().len()).map(|k| cut(field.study(), k)).collect(),
            joins: (0..field.present().len()).map(|k| join(field.study(), k)).collect(),
            told,
        })
    }

    /// What every bowing that starts like this weighs at the least.
    pub fn at_least(&mut self, first: &[Choice]) -> f64 {
        self.marks(first) + self.pieces(first).map_or(0.0, |pieces| self.plan(pieces))
    }

    /// Changed marks, slurs undone and made, and what speaks against the directions but for hairpins and for
    /// figures that come back, which cost nothing at the least.
    fn marks(&self, first: &[Choice]) -> f64 {
        let (mut sum, mut slurred) = (0.0, false);
        for (k, (choice, now)) in first.iter().zip(self.field.present()).enumerate() {
            let changed = if choice.link == now.link { 0.0 } else { MARK };
            sum += match choice.link {
                Link::Retake | Link::Hook => changed,
                // All new slurs of a stroke may be one.
                Link::Slur => self.joins[k] + if slurred { 0.0 } else { MARK },
                _ => 0.0,
            };
            if now.link == Link::Joined && choice.link.starts() {
                sum += self.cuts[k];
            }
            slurred = !choice.link.starts() && (slurred || choice.link == Link::Slur);
            sum += LEANING * self.against(first, k);
        }
        sum
    }

    /// What speaks against the bow that begins or is hooked at a note, and against the one that ends
    /// before it.
    fn against(&self, first: &[Choice], k: usize) -> f64 {
        let Choice { link, direction } = first[k];
        if !link.starts() && link != Link::Hook {
            return 0.0;
        }
        let (lean, before) = (&self.leans[k], k.checked_sub(1).map(|before| first[before].direction));
        // A mark in the same figure before may ask for it.
        let as_marked = self.field.study().lesson().setup.school.leanings.again_as_marked;
        let reached = match link {
            Link::Retake => lean.retake.min(as_marked),
            Link::Hook => lean.hook[direction as usize].min(as_marked),
            Link::Set | Link::Breath if before == Some(direction) => lean.again_after_rest,
            _ => 0.0,
        };
        let ended = if before == Some(Direction::Down) { self.ends[k - 1] } else { 0.0 };
        lean.own[direction as usize] + reached + ended
    }

    /// What these notes want of the bow, but for those of the last stroke: that depends on how it goes on.
    /// None if a bowing like this cannot be written.
    fn pieces(&mut self, first: &[Choice]) -> Option<Vec<Piece>> {
        let mut ends: Vec<usize> = (1..first.len()).filter(|&k| first[k].link.starts()).collect();
        if first.len() == self.field.present().len() {
            ends.push(first.len());
        }
        let starts = std::iter::once(0).chain(ends.iter().copied());
        let strokes: Vec<Whole> = starts
            .zip(&ends)
            .map(|(start, &end)| {
                let links = first[start..end].iter().map(|choice| choice.link).collect();
                let link = |k: usize| first.get(k).map(|choice| choice.link);
                (start, start.checked_sub(1).and_then(link), links, link(end), first[start].direction)
            })
            .collect();
        if strokes.iter().any(|stroke| !self.pieces.contains_key(stroke)) {
            let choices: Vec<(usize, Choice)> = first.iter().copied().enumerate().collect();
            let bowing = self.field.changed(self.field.present(), &choices)?;
            let Written { lesson, line, bowing, .. } = self.field.written(&bowing)?;
            let wanted = problem(&lesson.score, &lesson.setup, &lesson.pins, &line, &bowing).pieces;
            let of = |stroke: &Whole| wanted[stroke.0..stroke.0 + stroke.2.len()].to_vec();
            self.pieces.extend(strokes.iter().map(|stroke| (stroke.clone(), of(stroke))));
        }
        Some(strokes.iter().flat_map(|stroke| self.pieces[stroke].clone()).collect())
    }

    /// The best plan of the first notes alone, and where the bow runs out or cannot go on in it.
    fn plan(&self, pieces: Vec<Piece>) -> f64 {
        let whole = &self.field.study().analysis().plan.problem;
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
        let rules = &self.field.study().lesson().setup.school.rules;
        if problem.pieces.len() == self.field.present().len() {
            let outs = run_outs(problem, plan);
            let felt = outs.iter().filter(|out| out.is_felt(rules));
            return felt.map(|out| run_out(out.short_mm)).sum();
        }
        // A pin may set the bow anew within a stroke.
        if !self.field.study().analysis().plan.problem.pins.is_empty() {
            return 0.0;
        }
        let open = problem.usable.1 - problem.usable.0;
        let strokes = problem.pieces.chunk_by(|_, next| next.join == Join::Same);
        let missed = strokes.filter_map(|notes| {
            let short_mm = notes.iter().map(Piece::wanted_travel_mm).sum::<f64>() - open;
            // The least time there is if the fastest of the notes is missing.
            let fastest = notes.iter().map(|note| note.wanted_travel_mm() / note.seconds).fold(0.0, f64::max);
            rules.is_missed(short_mm, short_mm / fastest).then_some(short_mm)
        });
        missed.map(run_out).sum()
    }
}

/// What a run-out weighs at the least that misses so much hair, mm. Of several with one cause the first
/// counts, which may be heard a twentieth less.
fn run_out(short_mm: f64) -> f64 {
    told_weight(Verdict::RunsOut, (heard_short(short_mm) - 0.05).max(0.0))
}
