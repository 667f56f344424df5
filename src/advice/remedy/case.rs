//! A finding in its music: what those look at who propose changes.

use std::{collections::BTreeSet, ops::Range};

use crate::{
    analysis::{Analysis, Study},
    bowing::{Finding, Kind, UNSEEN, Verdict},
    lesson::Lesson,
    score::{Attack, Direction, Dynamic, EventId, Mark, Quarters},
    setup::Rules,
};

/// A bow that falls by so many dynamic steps fades. Assumed.
const FADES_STEPS: f64 = 0.3;

/// From this level on two strings are too heavy for a light bow. Assumed.
const LOUD: f64 = Dynamic::F as usize as f64 - 0.25;

/// A finding, with the stroke it is on and what lies around it.
pub(super) struct Case<'a> {
    study: &'a Study,
    pub finding: &'a Finding,
    /// The bowed note the finding is on.
    pub piece: usize,
    /// The stroke it is on.
    pub stroke: usize,
}

impl<'a> Case<'a> {
    /// None where the note of the finding is not bowed.
    pub fn of(study: &'a Study, finding: &'a Finding) -> Option<Self> {
        let piece = study.analysis().bowed_of_event(finding.event)?;
        let stroke = study.analysis().stroke_of(piece);
        Some(Self { study, finding, piece, stroke })
    }

    pub fn lesson(&self) -> &'a Lesson {
        self.study.lesson()
    }

    pub fn analysis(&self) -> &'a Analysis {
        self.study.analysis()
    }

    pub fn rules(&self) -> &'a Rules {
        &self.lesson().setup.school.rules
    }

    /// The attack of a bowed note.
    pub fn note(&self, bowed: usize) -> &'a Attack {
        self.analysis().note(bowed)
    }

    /// The bowed notes of a stroke.
    pub fn notes(&self, stroke: usize) -> Range<usize> {
        self.analysis().stroke(stroke).notes.clone()
    }

    /// The first written event of each note of a stroke.
    pub fn ids(&self, stroke: usize) -> Vec<EventId> {
        self.notes(stroke).map(|k| self.note(k).id()).collect()
    }

    pub fn direction(&self, stroke: usize) -> Direction {
        self.analysis().stroke(stroke).direction
    }

    /// A bowed note asks for a stronger start.
    pub fn is_accented(&self, bowed: usize) -> bool {
        self.note(bowed).marks.iter().any(|mark| mark.is_accent())
    }

    /// A bowed note goes on in the bow of the one before it after a stop that no mark asks for. Two marks alike
    /// in a row ask for it.
    pub fn is_own_hook(&self, bowed: usize) -> bool {
        let note = self.note(bowed);
        let first = self.note(self.notes(self.analysis().stroke_of(bowed)).start);
        let asked = note.same_bow.is_some() || note.bow.is_some() && first.bow == note.bow;
        self.analysis().is_stopped(bowed) && !asked
    }

    /// A bow that may be long, quick and light: nothing in it asks for weight, for length or to fade.
    pub fn can_be_light(&self, stroke: usize) -> bool {
        let level = |at: Quarters| self.analysis().line.dynamics.level(at.to_f64());
        let notes = self.notes(stroke);
        let (from, until) = (self.note(notes.start).onset, self.note(notes.end - 1).end());
        let fades = level(until) < level(from) - FADES_STEPS;
        let heavy = |k: usize| {
            let note = self.note(k);
            let held = note.marks.contains(&Mark::Tenuto) || note.marks.contains(&Mark::Trill);
            let loud = level(note.onset) >= LOUD;
            self.is_accented(k) || held || note.notes.len() > if loud { 1 } else { 2 }
        };
        !fades && !notes.into_iter().any(heavy)
    }

    /// By how much the stroke would have to start nearer the tip to get what it wants, mm; nearer the frog where
    /// that is less than nothing.
    pub fn start_off_mm(&self) -> f64 {
        if matches!(self.finding.kind, Kind::Creep | Kind::SlurParity) {
            return -self.drift_mm() / 2.0;
        }
        let (wanted, planned) = self.hair(self.stroke);
        let less = match self.finding.verdict {
            Verdict::Impossible | Verdict::RunsOut => self.finding.short_mm,
            Verdict::Tight | Verdict::Notice => wanted - planned,
        };
        -self.direction(self.stroke).sign() * less
    }

    /// How far the strokes from this one to the next lift would carry the bow toward the tip, mm.
    fn drift_mm(&self) -> f64 {
        let count = self.analysis().bowing.strokes.len();
        let end = (self.stroke + 1..count).find(|&stroke| !self.stays(stroke)).unwrap_or(count);
        let strokes = self.stroke..end.min(self.stroke + UNSEEN);
        strokes.map(|stroke| self.direction(stroke).sign() * self.hair(stroke).0).sum()
    }

    /// "bar 8, beat 3" of a bowed note.
    pub fn at(&self, bowed: usize) -> String {
        self.lesson().score.place(self.note(bowed).onset).short()
    }

    /// A bowed note starts on a beat.
    pub fn is_on_beat(&self, bowed: usize) -> bool {
        let beat = self.lesson().score.beat_at(self.note(bowed).onset).map(|(_, beat)| beat);
        beat.is_some_and(|beat| beat.denom() == 1)
    }

    /// A bowed note has an sf or fp, or is loud with an accent.
    pub fn is_struck(&self, bowed: usize) -> bool {
        let sharp = |mark: &Mark| matches!(mark, Mark::Sforzando | Mark::FortePiano);
        self.note(bowed).marks.iter().any(sharp) || is_loud(self.analysis(), bowed) && self.is_accented(bowed)
    }

    /// A bowed note is struck, or loud on two strings.
    pub fn is_heavy(&self, bowed: usize) -> bool {
        self.is_struck(bowed) || is_loud(self.analysis(), bowed) && self.note(bowed).notes.len() > 1
    }

    /// From the start of the stroke to the end of its last note.
    pub fn span(&self) -> (Quarters, Quarters) {
        let notes = self.notes(self.stroke);
        (self.note(notes.start).onset, self.note(notes.end - 1).end())
    }

    /// The next stroke, where no rest or lift lies before it.
    pub fn next(&self) -> Option<usize> {
        Some(self.stroke + 1).filter(|&next| self.stays(next))
    }

    /// The bow stays on the string before a stroke.
    pub fn stays(&self, stroke: usize) -> bool {
        self.analysis().bowing.strokes.get(stroke).is_some_and(|stroke| !stroke.lift_before)
    }

    /// First stroke since the last lift before the finding.
    pub fn chain_start(&self) -> usize {
        (0..=self.stroke).rev().find(|&stroke| !self.stays(stroke)).unwrap_or(0)
    }

    /// Where the strokes begin that make this one run out.
    pub fn met(&self) -> usize {
        let run_out = self.analysis().plan.run_out(&self.notes(self.stroke));
        run_out.map_or(self.stroke, |run_out| self.analysis().stroke_of(run_out.since))
    }

    /// Wanted and planned hair of a stroke, mm.
    pub fn hair(&self, stroke: usize) -> (f64, f64) {
        let plan = &self.analysis().plan;
        self.notes(stroke).fold((0.0, 0.0), |(wanted, planned), k| {
            (wanted + plan.piece(k).wanted_mm, planned + plan.used_mm(k))
        })
    }

    /// Bowed notes with a fixed place: every pin is a place of the start of a piece.
    pub fn pinned(&self) -> BTreeSet<usize> {
        self.analysis().plan.problem.pins.iter().map(|pin| pin.piece).collect()
    }
}

/// A bowed note begins loudly.
pub(super) fn is_loud(analysis: &Analysis, bowed: usize) -> bool {
    analysis.line.dynamics.level(analysis.note(bowed).onset.to_f64()) >= LOUD
}

/// The bowed notes around this one, in a row and of its stroke type.
pub(super) fn passage(analysis: &Analysis, piece: usize) -> Range<usize> {
    let kind = |k: usize| analysis.bowed(k).stroke_type;
    let follows = |k: usize| analysis.note(k - 1).end() == analysis.note(k).onset;
    let same = |k: usize| kind(k) == kind(piece);
    let count = analysis.bowing.notes.len();
    let start = (1..=piece).rev().find(|&k| !(same(k - 1) && follows(k))).unwrap_or(0);
    let end = (piece + 1..count).find(|&k| !(same(k) && follows(k))).unwrap_or(count);
    start..end
}
