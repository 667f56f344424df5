//! A finding in its music: what those look at who propose changes.

use std::{collections::BTreeSet, ops::Range};

use crate::{
    analysis::{Analysis, Study},
    bowing::Finding,
    lesson::Lesson,
    score::{Attack, Direction, EventId, Quarters},
    setup::Rules,
};

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
        let analysis = study.analysis();
        let holds = |note: &Attack| note.events.contains(&finding.event);
        let note = match analysis.line.get(finding.note) {
            Some(note) if holds(note) => finding.note,
            _ => analysis.line.iter().position(holds)?,
        };
        let piece = analysis.bowed_of_note.get(note).copied().flatten()?;
        let stroke = *analysis.stroke_of_bowed.get(piece)?;
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
        let analysis = self.analysis();
        &analysis.line[analysis.bowed[bowed].note]
    }

    /// The bowed notes of a stroke.
    pub fn notes(&self, stroke: usize) -> Range<usize> {
        self.analysis().strokes[stroke].notes.clone()
    }

    /// The first written event of each note of a stroke.
    pub fn ids(&self, stroke: usize) -> Vec<EventId> {
        self.notes(stroke).map(|k| self.note(k).id()).collect()
    }

    pub fn direction(&self, stroke: usize) -> Direction {
        self.analysis().strokes[stroke].direction
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
        self.analysis().strokes.get(stroke).is_some_and(|stroke| !stroke.lift_before)
    }

    /// First stroke since the last lift before the finding.
    pub fn chain_start(&self) -> usize {
        (0..=self.stroke).rev().find(|&stroke| !self.stays(stroke)).unwrap_or(0)
    }

    /// Where the path as marked last met the plan before it runs out in this stroke.
    pub fn met(&self) -> usize {
        let notes = self.notes(self.stroke);
        let analysis = self.analysis();
        let run_out = analysis.marked.run_outs.iter().find(|spot| notes.contains(&spot.piece));
        let since = run_out.and_then(|spot| spot.drift).map(|drift| drift.since);
        let chain = self.chain_start();
        since.map_or(chain, |since| analysis.stroke_of_bowed[since].max(chain))
    }

    /// Wanted and planned hair of a stroke, mm.
    pub fn hair(&self, stroke: usize) -> (f64, f64) {
        let Analysis { solution, problem, .. } = self.analysis();
        self.notes(stroke).fold((0.0, 0.0), |(wanted, planned), k| {
            let used = (solution.end_mm[k] - solution.start_mm[k]).abs();
            (wanted + problem.pieces[k].wanted_mm, planned + used)
        })
    }

    /// Bowed notes with a fixed place: every pin is a place of the start of a piece.
    pub fn pinned(&self) -> BTreeSet<usize> {
        self.analysis().problem.pins.iter().map(|pin| pin.piece).collect()
    }
}

/// The bowed notes around this one, in a row and of its stroke type.
pub(super) fn passage(analysis: &Analysis, piece: usize) -> Range<usize> {
    let Analysis { line, bowed, .. } = analysis;
    let kind = bowed[piece].stroke_type;
    let follows = |k: usize| line[bowed[k - 1].note].end() == line[bowed[k].note].onset;
    let same = |k: usize| bowed[k].stroke_type == kind;
    let start = (1..=piece).rev().find(|&k| !(same(k - 1) && follows(k))).unwrap_or(0);
    let end = (piece + 1..bowed.len()).find(|&k| !(same(k) && follows(k))).unwrap_or(bowed.len());
    start..end
}
