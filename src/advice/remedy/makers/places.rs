//! Changes for rules of thumb: to the place a note or stroke belongs, another stroke type, and a
//! stroke before split so that the bow comes the other way.

use std::ops::Range;

use crate::{
    analysis::Analysis,
    bowing::{Kind, Plan},
    score::{Direction, EventId, StrokeType, cm, sentence_case},
};

use super::{
    super::{places::span, step::Step, trial::Change},
    Maker,
};

/// A place is fixed this far inside its limit, share of the hair. Assumed.
const INSIDE: f64 = 0.01;
/// At most this many places are tried for splitting the stroke before. Assumed.
const MOST_BEFORE: usize = 2;

/// The bowed notes around this one, in a row and of its stroke type.
pub(in crate::advice::remedy) fn passage(analysis: &Analysis, piece: usize) -> Range<usize> {
    let count = analysis.bowing.notes.len();
    let kind = analysis.bowed(piece).stroke_type;
    let follows = |k: usize| analysis.note(k - 1).end() == analysis.note(k).onset;
    let same = |k: usize| analysis.bowed(k).stroke_type == kind;
    let start = (1..=piece).rev().find(|&k| !(same(k - 1) && follows(k))).unwrap_or(0);
    let end = (piece + 1..count).find(|&k| !(same(k) && follows(k))).unwrap_or(count);
    start..end
}

impl Maker<'_> {
    /// A place fixed just inside the limit of the rule, as far as the strokes around allow.
    pub(in crate::advice::remedy) fn nearer(&mut self) {
        let rules = &self.lesson.setup.school.rules;
        let hair = self.analysis.plan.problem.hair_mm.max(1.0);
        let now = self.analysis.plan.solution.start_mm[self.piece] / hair;
        let wanted = match self.finding.kind {
            Kind::ChordPlace => rules.chord_below - INSIDE,
            Kind::AccentPlace => rules.accent_below - INSIDE,
            // Its nearer end counts: where an up-bow arrives.
            Kind::LoudAtTip => {
                let used = self.used(self.stroke) / hair;
                let arrives = if self.direction(self.stroke) == Direction::Up { used } else { 0.0 };
                rules.tip_part - INSIDE + arrives
            }
            Kind::SoftAtFrog | Kind::SoftEntry => rules.frog_part + INSIDE,
            Kind::SuddenSoft => rules.sudden_soft_from + INSIDE,
            // The way of the hand grows with the distance from the frog.
            Kind::CrossingFarOut => {
                let speed =
                    self.analysis.arm_path.crossing_into(self.piece).map(|crossing| crossing.hand_mm_per_s());
                let Some(speed) = speed.filter(|speed| *speed > 0.0) else { return };
                now * (rules.crossing_mm_per_s / speed) - INSIDE
            }
            _ => return,
        };
        self.start_at(self.piece, wanted * hair);
    }

    /// The stroke laid into the part of the bow where its type lives.
    pub(in crate::advice::remedy) fn home(&mut self) {
        let start = self.notes(self.stroke).start;
        let kind = self.analysis.bowed(start).stroke_type;
        let setup = &self.lesson.setup;
        let region = if self.finding.kind == Kind::HookPlace {
            Some(setup.school.rules.hook_region)
        } else {
            setup.habit(kind).home
        };
        let Some((lo, hi)) = region else { return };
        let hair = self.analysis.plan.problem.hair_mm;
        let half = self.direction(self.stroke).sign() * self.used(self.stroke) / 2.0;
        let middle = self.analysis.plan.solution.start_mm[start] + half;
        let (lo, hi) = ((lo + INSIDE) * hair, (hi - INSIDE) * hair);
        self.start_at(start, middle.clamp(lo.min(hi), hi) - half);
    }

    fn start_at(&mut self, piece: usize, mm: f64) {
        // A place fixed there may be fixed elsewhere.
        let fixed = self.pinned().contains(&piece);
        let Plan { problem, solution, .. } = &*self.analysis.plan;
        let (lo, hi) = if fixed { problem.usable } else { solution.corridor_start[piece] };
        if !(lo <= hi && mm.is_finite()) {
            return;
        }
        let mm = mm.clamp(lo, hi);
        let share = (mm / self.analysis.plan.problem.hair_mm).clamp(0.0, 1.0);
        let words = format!("Be {} from the frog at {}", cm(mm), self.at(piece));
        self.push(Change::Place, words, &[Step::Place(self.note(piece).id(), Some(share))]);
    }

    /// Hair the plan gives a stroke, mm.
    fn used(&self, stroke: usize) -> f64 {
        self.hair(stroke).1
    }

    /// Another stroke type for the whole passage: the other bouncing stroke, or on the string.
    pub(in crate::advice::remedy) fn other_stroke(&mut self) {
        let notes = passage(self.analysis, self.piece);
        let now = self.analysis.bowed(self.piece).stroke_type;
        let others: &[StrokeType] = match (self.finding.kind, now) {
            (Kind::SpiccatoFast, _) => &[StrokeType::Sautille, StrokeType::Detache],
            (Kind::SautilleSlow, _) => &[StrokeType::Spiccato, StrokeType::Detache],
            (_, StrokeType::Spiccato | StrokeType::Colle | StrokeType::Martele) => &[StrokeType::Detache],
            (_, StrokeType::Sautille) => &[StrokeType::Detache, StrokeType::Spiccato],
            _ => &[],
        };
        let ids: Vec<EventId> = notes.clone().map(|k| self.note(k).id()).collect();
        let (from, to) = (self.note(notes.start).onset, self.note(notes.end - 1).onset);
        let score = &self.lesson.score;
        let over =
            if ids.len() > 1 { span(score, from, to) } else { format!("at {}", score.place(from).short()) };
        for other in others {
            let words = format!("{} instead of {} {over}", sentence_case(other.word()), now.word());
            self.push(Change::Stroke, words, &[Step::Stroke(ids.clone(), *other)]);
        }
    }

    /// The stroke before in two, so that this one comes the other way.
    pub(in crate::advice::remedy) fn splits_before(&mut self) {
        let Some(before) = self.stroke.checked_sub(1).filter(|_| self.stays(self.stroke)) else { return };
        let notes = self.notes(before);
        let mut inner: Vec<usize> =
            (notes.start + 1..notes.end).filter(|&k| self.note(k).grace.is_none()).collect();
        let on_beat = |k: usize| {
            let beat = self.lesson.score.beat_at(self.note(k).onset).map(|(_, beat)| beat);
            beat.is_some_and(|beat| beat.denom() == 1)
        };
        let middle = notes.start + notes.len() / 2;
        inner.sort_by_key(|&k| (!on_beat(k), k.abs_diff(middle)));
        let way = self.direction(self.stroke).turned().bow_word();
        for &k in inner.iter().take(MOST_BEFORE) {
            let here = self.at(self.notes(self.stroke).start);
            let words = format!("A new bow before {}, so that {here} is {way}", self.at(k));
            self.push(Change::Split, words, &[Step::NewBow(self.note(k).id())]);
        }
    }

    /// A slower practice tempo.
    pub(in crate::advice::remedy) fn slower(&mut self) {
        self.tempo(false);
    }

    /// A faster practice tempo.
    pub(in crate::advice::remedy) fn faster(&mut self) {
        self.tempo(true);
    }
}
