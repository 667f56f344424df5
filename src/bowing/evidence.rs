//! What the rules of findings and of pencil marks read.

use std::{
    hash::{DefaultHasher, Hash, Hasher},
    ops::Range,
};

use super::{ArmPath, Bowed, Bowing, Piece, Plan, Stroke, Tones};
use crate::{
    arm::LeftHand,
    lesson::Lesson,
    score::{Attack, Line, Mark, Place, Quarters, StrokeType},
    setup::Rules,
};

/// Everything the rules read.
#[derive(Clone, Copy)]
pub struct Evidence<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// What the bow plays.
    pub line: &'a Line,
    /// How it is bowed.
    pub bowing: &'a Bowing,
    /// Where on the bow.
    pub plan: &'a Plan,
    /// On which strings, with which fingers.
    pub left_hand: &'a LeftHand,
    /// How the arm goes.
    pub arm_path: &'a ArmPath,
    /// How it sounds.
    pub tones: &'a Tones,
}

pub(super) fn hashed(value: impl Hash) -> u64 {
    // Always the same keys, so that the order of findings never changes.
    let mut hasher = DefaultHasher::new();
    value.hash(&mut hasher);
    hasher.finish()
}

impl<'a> Evidence<'a> {
    pub(super) fn rules(&self) -> &'a Rules {
        &self.lesson.setup.school.rules
    }

    /// Musical time after `seconds_in` of the sounding of a piece, on the nearest eighth: finer places cannot
    /// be shown to a pupil.
    pub(super) fn at(&self, piece: usize, seconds_in: f64) -> Quarters {
        let (bowed, note) = (self.bowed(piece), self.note(piece));
        if seconds_in <= 0.0 {
            return note.onset;
        }
        let score = &self.lesson.score;
        let seconds = (bowed.onset_s + seconds_in) * self.lesson.setup.tempo_share;
        let at = score.nearest_beat_part(self.line.tempo.quarters(seconds));
        if at < note.end() {
            return at.max(note.onset);
        }
        // The very end of a note is a place in it, not the start of the next.
        let beat = score.bar_at(note.onset).map_or(Quarters::ONE, |bar| score.bars[bar].time.beat());
        (note.end() - beat * Quarters::new(1, 2)).max(note.onset)
    }

    /// Where a piece starts.
    pub(crate) fn place(&self, piece: usize) -> Place {
        self.place_at(self.note(piece).onset)
    }

    /// A moment in words.
    pub(super) fn place_at(&self, at: Quarters) -> Place {
        self.lesson.score.place_in(at, &self.line.sections)
    }

    /// The attack of a piece.
    pub(super) fn note(&self, piece: usize) -> &'a Attack {
        &self.line.notes[self.bowed(piece).note]
    }

    /// How a piece is bowed.
    pub(super) fn bowed(&self, piece: usize) -> &'a Bowed {
        &self.bowing.notes[piece]
    }

    /// The strokes, as ranges of pieces.
    pub(crate) fn strokes(&self) -> &'a [Stroke] {
        &self.bowing.strokes
    }

    /// Of each stroke whether its direction follows from no mark: from one lift to the next nobody has written
    /// one, so that it was chosen here and is no trouble of the player's.
    pub(super) fn chosen(&self) -> Vec<bool> {
        let marked = |stroke: usize| {
            let first = self.note(self.first(stroke));
            first.bow.is_some() || first.retake
        };
        let mut chosen = Vec::with_capacity(self.strokes().len());
        for run in self.strokes().chunk_by(|_, next| !next.lift_before) {
            let here = chosen.len()..chosen.len() + run.len();
            let is_chosen = !here.clone().any(marked);
            chosen.resize(here.end, is_chosen);
        }
        chosen
    }

    /// The first piece of a stroke.
    pub(crate) fn first(&self, stroke: usize) -> usize {
        self.strokes()[stroke].notes.start
    }

    /// "the F♯4" or "the double stop G3 and E4".
    pub(super) fn note_words(&self, piece: usize) -> String {
        let names: Vec<String> = self.note(piece).notes.iter().map(|note| note.pitch.name()).collect();
        match names.as_slice() {
            [one] => format!("the {one}"),
            [low, high] => format!("the double stop {low} and {high}"),
            many => format!("the chord {}", many.join(", ")),
        }
    }

    /// What makes two strokes the same figure: the rhythm and the dynamic.
    pub(super) fn figure(&self, stroke: usize) -> u64 {
        let level = self.level(self.first(stroke));
        hashed((self.rhythm(stroke), (2.0 * level).round() as i64))
    }

    /// Lengths of the notes of a stroke and how they are bowed.
    pub(crate) fn rhythm(&self, stroke: usize) -> Vec<(i64, i64, StrokeType)> {
        let note = |k: usize| {
            let length = self.note(k).duration;
            (length.numer(), length.denom(), self.bowed(k).stroke_type)
        };
        self.strokes()[stroke].notes.clone().map(note).collect()
    }

    /// Dynamic level at the start of a piece, on the scale of [`crate::score::Dynamic`].
    pub(crate) fn level(&self, piece: usize) -> f64 {
        self.line.dynamics.level(self.note(piece).onset.to_f64())
    }

    /// Loud by the rules.
    pub(crate) fn is_loud(&self, piece: usize) -> bool {
        self.level(piece) >= self.rules().loud as usize as f64 - 0.25
    }

    /// Soft by the rules.
    pub(super) fn is_soft(&self, piece: usize) -> bool {
        self.level(piece) <= self.rules().soft as usize as f64 + 0.25
    }

    /// Planned over wanted hair of a piece that moves and that the plan covers.
    pub(super) fn ratio(&self, piece: usize) -> Option<f64> {
        let wanted = self.plan.piece(piece);
        let grace = self.note(piece).grace.is_some();
        let ratio = self.plan.used_mm(piece) / wanted.wanted_mm;
        (wanted.moves() && !grace && !self.plan.unplanned[piece] && ratio > 0.0).then_some(ratio)
    }

    /// Planned over wanted hair of a stroke that moves, where the difference is felt.
    pub(super) fn bend(&self, stroke: usize) -> Option<f64> {
        let notes = self.strokes()[stroke].notes.clone();
        let wanted = self.wanted_mm(stroke);
        let used: f64 = notes.clone().map(|piece| self.plan.used_mm(piece)).sum();
        let felt = (used - wanted).abs() >= self.rules().least_bend_mm;
        let planned = !self.plan.unplanned[notes].contains(&true);
        (felt && planned && used > 0.0 && wanted > 0.0).then_some(used / wanted)
    }

    /// Sounding time of a stroke, s.
    pub(crate) fn seconds(&self, stroke: usize) -> f64 {
        self.plan.problem.pieces[self.strokes()[stroke].notes.clone()].iter().map(|piece| piece.seconds).sum()
    }

    /// How long a stroke is as written, stops and all, quarters.
    pub(super) fn written(&self, stroke: usize) -> f64 {
        let notes = self.strokes()[stroke].notes.clone();
        notes.map(|piece| self.note(piece).duration.to_f64()).sum()
    }

    /// Hair a stroke wants, mm.
    pub(super) fn wanted_mm(&self, stroke: usize) -> f64 {
        let pieces = &self.plan.problem.pieces[self.strokes()[stroke].notes.clone()];
        pieces.iter().map(Piece::wanted_travel_mm).sum()
    }

    /// Where the plan has a stroke: (start, end) as shares of the hair.
    pub(crate) fn shares(&self, stroke: usize) -> (f64, f64) {
        let notes = &self.strokes()[stroke].notes;
        let hair = self.plan.problem.hair_mm.max(1.0);
        (self.plan.solution.start_mm[notes.start] / hair, self.plan.solution.end_mm[notes.end - 1] / hair)
    }

    /// An accent by a dynamic on one note: sf, fz, fp.
    pub(super) fn is_sharp(&self, piece: usize) -> bool {
        let marks = &self.note(piece).marks;
        marks.contains(&Mark::Sforzando) || marks.contains(&Mark::FortePiano)
    }

    /// The rest before a piece, s; zero where none is printed.
    pub(super) fn silent_s(&self, piece: usize) -> f64 {
        let Some(before) = piece.checked_sub(1) else { return 0.0 };
        let bowed = self.bowed(before);
        let silent = self.note(piece).onset > self.note(before).end();
        if silent { self.bowed(piece).onset_s - bowed.onset_s - bowed.sounding_s } else { 0.0 }
    }

    /// The note asks for a stronger start.
    pub(super) fn is_accented(&self, piece: usize) -> bool {
        self.note(piece).marks.iter().any(|mark: &Mark| mark.is_accent())
    }

    /// Runs of strokes for which a rule speaks, each told once by the stroke with the largest excess:
    /// (strokes, piece, excess). `spot` gives the piece and the excess of a stroke.
    pub(super) fn runs(
        &self,
        spot: impl Fn(usize) -> Option<(usize, f64)>,
    ) -> Vec<(Range<usize>, usize, f64)> {
        let mut runs: Vec<(Range<usize>, usize, f64)> = Vec::new();
        for stroke in 0..self.strokes().len() {
            let Some((piece, excess)) = spot(stroke) else { continue };
            match runs.last_mut() {
                Some((strokes, worst, most)) if strokes.end + 1 >= stroke => {
                    strokes.end = stroke + 1;
                    if excess > *most + 1e-9 {
                        (*worst, *most) = (piece, excess);
                    }
                }
                _ => runs.push((stroke..stroke + 1, piece, excess)),
            }
        }
        runs
    }
}
