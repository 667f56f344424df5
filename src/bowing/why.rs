//! Why a note lies where it does on the bow.
//!
//! A stroke lies where it would best lie by itself, or something draws it away: at the best way through, what
//! the bow before and the bow after would gain by moving the end they share is what this one loses
//! (stationarity of the cost). The greater of the two pulls is named.

use std::ops::Range;

use super::{Bowed, Bowing, Join, Plan, Problem, problem::cost_between, wants};
use crate::{
    lesson::Lesson,
    score::{Dynamic, Line, StrokeType, cm},
};
use wants::Reason;

/// Nearer to where it would best lie than this share of the hair a stroke lies there. Assumed.
const THERE: f64 = 0.05;
/// Step by which an end is moved to see what that costs, mm.
const STEP_MM: f64 = 0.01;

/// What put a note where it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Because {
    /// No way of playing it as marked exists.
    Impossible,
    /// Its place is fixed.
    Fixed,
    /// It lies where it would best lie by itself.
    Liked,
    /// Its own limits, or a way through the air, keep it there.
    Limits,
    /// The bow before it leads there.
    Before,
    /// What comes after it needs the bow there.
    After,
}

/// Why a note lies where it does.
#[derive(Clone, Debug, PartialEq)]
pub struct Why {
    /// What put it there.
    pub because: Because,
    /// That in one sentence.
    pub words: String,
    /// What the note costs in the plan by its speed, its place, its evenness with the note before it, and the
    /// lift before it.
    pub cost: [f64; 4],
}

impl Why {
    /// What the four parts of the cost are called.
    pub const PARTS: [&str; 4] = ["speed", "place", "evenness", "lift"];
}

/// The reasons of a plan.
pub struct Reasons<'a> {
    lesson: &'a Lesson,
    line: &'a Line,
    bowing: &'a Bowing,
    plan: &'a Plan,
    /// The notes as they are bowed at the tempo whose places are wanted.
    models: Option<Vec<Bowed>>,
}

impl<'a> Reasons<'a> {
    /// Of a lesson as it is planned.
    pub fn new(lesson: &'a Lesson, line: &'a Line, bowing: &'a Bowing, plan: &'a Plan) -> Self {
        let models = wants::models(&lesson.score, &lesson.setup, line);
        Self { lesson, line, bowing, plan, models }
    }

    /// Why bowed note `k` lies where it does.
    pub fn why(&self, k: usize) -> Why {
        let because = self.because(k);
        let words = match because {
            Because::Impossible => {
                "It cannot be played as marked; it is drawn up to where the hair ends.".to_owned()
            }
            Because::Fixed => "Its place is fixed.".to_owned(),
            Because::Liked => self.liked(k),
            Because::Limits => {
                "As near to where it would like to be as the hair, the time and the way there allow."
                    .to_owned()
            }
            Because::Before => self.drawn(k, "carried there by the bow before, on", self.stroke(k).start - 1),
            Because::After => self.drawn(k, "kept there for the bow after it, on", self.stroke(k).end),
        };
        Why { because, words, cost: self.cost(k) }
    }

    fn stroke(&self, k: usize) -> Range<usize> {
        self.bowing.strokes[self.bowing.stroke_of(k)].notes.clone()
    }

    /// How far the middle of a note is from where it would best lie, mm toward the tip.
    fn off_mm(&self, k: usize) -> f64 {
        let (start, end) = self.plan.places_mm(k);
        (start + end) / 2.0 - self.plan.piece(k).place_mm
    }

    fn because(&self, k: usize) -> Because {
        let stroke = self.stroke(k);
        if self.plan.unplanned[k] {
            return Because::Impossible;
        }
        if self.plan.pinned[stroke.clone()].contains(&true) {
            return Because::Fixed;
        }
        let off = self.off_mm(k);
        let (before, after) = self.pulls(&stroke);
        let (pull, other) = (off.signum() * before, off.signum() * after);
        if off.abs() < THERE * self.plan.problem.hair_mm {
            Because::Liked
        } else if pull.max(other) <= 0.0 {
            Because::Limits
        } else if pull > other {
            Because::Before
        } else {
            Because::After
        }
    }

    /// What all before this stroke and all after it would gain for each mm that the end they share with it
    /// moved toward the tip; none where they share none.
    fn pulls(&self, stroke: &Range<usize>) -> (f64, f64) {
        let pieces = &self.plan.problem.pieces;
        let joined = |k: usize| {
            let inside = k > 0 && k < pieces.len() && pieces[k].join.stays();
            inside && !self.plan.unplanned[k - 1] && !self.plan.unplanned[k]
        };
        let at = |k: usize, own: Range<usize>| {
            // Two pieces on either side are all whose cost the end between them touches.
            let around = k.saturating_sub(2)..pieces.len().min(k + 2);
            let own = own.start.max(around.start)..own.end.min(around.end);
            let gained =
                |range: &Range<usize>| self.moved(range, k, -STEP_MM) - self.moved(range, k, STEP_MM);
            if joined(k) { (gained(&around) - gained(&own)) / (2.0 * STEP_MM) } else { 0.0 }
        };
        (at(stroke.start, stroke.start..pieces.len()), at(stroke.end, 0..stroke.end))
    }

    /// Cost of some pieces alone when the end between piece `k` and the one before it is moved by so much, mm.
    fn moved(&self, range: &Range<usize>, k: usize, step_mm: f64) -> f64 {
        let solution = &self.plan.solution;
        let (mut start, mut end) =
            (solution.start_mm[range.clone()].to_vec(), solution.end_mm[range.clone()].to_vec());
        if range.contains(&k) {
            start[k - range.start] += step_mm;
        }
        if range.contains(&(k - 1)) {
            end[k - 1 - range.start] += step_mm;
        }
        self.cost_of(range.clone(), &start, &end)
    }

    /// Cost of some pieces alone, through these places.
    fn cost_of(&self, range: Range<usize>, start: &[f64], end: &[f64]) -> f64 {
        let whole = &self.plan.problem;
        let pieces = whole.pieces[range].to_vec();
        let problem = Problem { pieces, pins: Vec::new(), weights: whole.weights.clone(), ..*whole };
        cost_between(&problem, 0, start.len(), start, end)
    }

    /// What the note costs by speed, place, evenness with the note before and the lift before it.
    fn cost(&self, k: usize) -> [f64; 4] {
        let (problem, plan) = (&self.plan.problem, self.plan);
        let piece = plan.piece(k);
        let ratio = plan.speed_ratio(k);
        let speed = if ratio > 0.0 { piece.speed_weight * (ratio + 1.0 / ratio - 2.0) } else { 0.0 };
        let place = piece.place_weight * (self.off_mm(k) / problem.hair_mm).powi(2);
        let before = k.checked_sub(1);
        let even =
            before.map_or(0.0, |before| problem.evenness(k) * (plan.speed_ratio(before) - ratio).powi(2));
        let lift = match (before, piece.join) {
            (Some(before), Join::Lift { .. }) => {
                let moved = plan.places_mm(k).0 - plan.places_mm(before).1;
                problem.weights.lift * (moved / problem.hair_mm).powi(2)
            }
            _ => 0.0,
        };
        [speed, place, even, lift]
    }

    fn drawn(&self, k: usize, how: &str, other: usize) -> String {
        let note = &self.line.notes[self.bowing.notes[other].note];
        let toward = if self.off_mm(k) > 0.0 { "the tip" } else { "the frog" };
        format!(
            "{} nearer {toward} than it would like, {how} {}.",
            cm(self.off_mm(k).abs()),
            self.lesson.score.place(note.onset)
        )
    }

    /// Where it would best lie, in words.
    fn liked(&self, k: usize) -> String {
        let note = &self.line.notes[self.bowing.notes[k].note];
        let level = self.line.dynamics.level(note.onset.to_f64());
        let bowed = self.models.as_ref().map_or(&self.bowing.notes[k], |models| &models[k]);
        match wants::liked(&self.lesson.setup, note, level, bowed).reason {
            Reason::Words(_) => "Words over the staff ask for this part of the bow.".to_owned(),
            Reason::Chord => "Chords begin near the frog, where the bow has weight.".to_owned(),
            Reason::Home(StrokeType::Spiccato) => {
                "Here the bow bounces: the louder the nearer the frog, the faster the nearer the middle."
                    .to_owned()
            }
            Reason::Home(stroke) => format!("Here {} lives, the louder the nearer the frog.", stroke.word()),
            Reason::Fast => "Fast separate notes lie about the middle and a little above it.".to_owned(),
            Reason::Accent => "An accent comes by itself nearer the frog.".to_owned(),
            Reason::Dynamic => {
                let mark = Dynamic::ALL[(level.round().max(0.0) as usize).min(7)].mark();
                format!("Its dynamic, {mark}: loud strokes lie nearer the frog, soft ones nearer the tip.")
            }
        }
    }
}
