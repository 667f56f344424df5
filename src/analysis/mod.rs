//! From a lesson to all that is known about it, in stages:
//!
//! ```text
//! Line -> Bowing -> Plan -> ArmPath -> Tones -> Findings
//!   \-> LeftHand ----------^
//! ```
//!
//! Each is made from the stages before it and from parts of the lesson; the room it belongs to makes it. What
//! a teacher would write over the notes is made of all of them when it is asked for ([`Study::pencil`]).

mod care;
mod curves;
mod moment;
mod stages;
mod study;

pub use curves::{Curve, CurveLine, CurveRole, Quantity};
pub use moment::BowState;
pub use study::{Study, StudyId};

use std::{ops::Range, sync::Arc};

use crate::{
    arm::LeftHand,
    bowing::{
        ArmPath, Bowed, Bowing, Evidence, Findings, Join, Piece, Plan, Reached, RunOut, Stroke, Tones,
        UNSEEN, Verdict,
    },
    lesson::Lesson,
    score::{Attack, EventId, Line, Quarters},
};
use stages::stage;

/// What is known about a lesson. Window, commands and pages read this and compute nothing of their
/// own. A clone shares its stages.
///
/// `note` counts the notes of the line; `k`, a bowed note, counts those that are not plucked. Pieces of
/// the plan and tones are counted like the bowed notes.
#[derive(Clone, Debug, PartialEq)]
pub struct Analysis {
    /// What one bow plays.
    pub line: Arc<Line>,
    /// How it is bowed.
    pub bowing: Arc<Bowing>,
    /// Where on the bow.
    pub plan: Arc<Plan>,
    /// On which strings, with which fingers.
    pub left_hand: Arc<LeftHand>,
    /// How the arm goes from level to level.
    pub arm_path: Arc<ArmPath>,
    /// Speed, weight and sounding point of each bowed note.
    pub tones: Arc<Tones>,
    /// What to know.
    pub findings: Arc<Findings>,
}

/// Analyses a lesson. Pure: the same lesson gives the same analysis, and any lesson gives one.
pub fn analyse(lesson: &Lesson) -> Analysis {
    analyse_with(lesson, None)
}

/// The same as [`analyse`], faster where little differs from an earlier lesson: stages of its analysis
/// that come out the same are taken over.
pub fn analyse_after(lesson: &Lesson, earlier: &Lesson, known: &Analysis) -> Analysis {
    analyse_with(lesson, Some((earlier, known)))
}

fn analyse_with(lesson: &Lesson, before: Option<(&Lesson, &Analysis)>) -> Analysis {
    let line = stage(lesson, (), before.map(|(was, of)| (was, (), &of.line)));
    let bowing = stage(lesson, &line, before.map(|(was, of)| (was, &of.line, &of.bowing)));
    let plan =
        stage(lesson, (&line, &bowing), before.map(|(was, of)| (was, (&of.line, &of.bowing), &of.plan)));
    let left_hand = stage(lesson, &line, before.map(|(was, of)| (was, &of.line, &of.left_hand)));
    let arm_path = stage(
        lesson,
        (&bowing, &plan, &left_hand),
        before.map(|(was, of)| (was, (&of.bowing, &of.plan, &of.left_hand), &of.arm_path)),
    );
    let tones = stage(
        lesson,
        (&line, &bowing, &plan, &left_hand),
        before.map(|(was, of)| (was, (&of.line, &of.bowing, &of.plan, &of.left_hand), &of.tones)),
    );
    let read = (&line, &bowing, &plan, &left_hand, &arm_path, &tones);
    let read_before = before
        .map(|(was, of)| (was, (&of.line, &of.bowing, &of.plan, &of.left_hand, &of.arm_path, &of.tones), of));
    let findings = stage(lesson, read, read_before.map(|(was, read, of)| (was, read, &of.findings)));
    Analysis { line, bowing, plan, left_hand, arm_path, tones, findings }
}

impl Analysis {
    /// What the rules read, of the lesson that this is the analysis of.
    pub(crate) fn evidence<'a>(&'a self, lesson: &'a Lesson) -> Evidence<'a> {
        Evidence {
            lesson,
            line: &self.line,
            bowing: &self.bowing,
            plan: &self.plan,
            left_hand: &self.left_hand,
            arm_path: &self.arm_path,
            tones: &self.tones,
        }
    }

    /// The attack that bowed note `k` plays.
    pub fn note(&self, k: usize) -> &Attack {
        &self.line.notes[self.bowing.notes[k].note]
    }

    /// How bowed note `k` is bowed.
    pub fn bowed(&self, k: usize) -> &Bowed {
        &self.bowing.notes[k]
    }

    /// The bowed note that a note of the line is; none for plucked notes, and for what is no note.
    pub fn bowed_of(&self, note: usize) -> Option<usize> {
        self.bowing.bowed_of(note)
    }

    /// The bowed note that holds a written event.
    pub fn bowed_of_event(&self, event: EventId) -> Option<usize> {
        self.bowing.bowed_of_event(&self.line, event)
    }

    /// The stroke of bowed note `k`.
    pub fn stroke_of(&self, k: usize) -> usize {
        self.bowing.stroke_of(k)
    }

    /// The stroke that holds a written event.
    pub fn stroke_of_event(&self, event: EventId) -> Option<usize> {
        self.bowed_of_event(event).map(|k| self.stroke_of(k))
    }

    /// A stroke.
    pub fn stroke(&self, stroke: usize) -> &Stroke {
        &self.bowing.strokes[stroke]
    }

    /// What bowed note `k` wants of the hair.
    pub fn piece(&self, k: usize) -> &Piece {
        self.plan.piece(k)
    }

    /// Where the bow is at the start and at the end of bowed note `k`, mm from the frog. In a tremolo it is
    /// brought along to where the next note starts, for which the plan has one place.
    pub fn ends_mm(&self, k: usize) -> (f64, f64) {
        let (start, end) = self.plan.places_mm(k);
        let brought = self.is_brought(k + 1).then(|| self.plan.solution.start_mm[k + 1]);
        (start, brought.unwrap_or(end))
    }

    /// Bowed note `k` begins on the string where a tremolo has brought the bow.
    pub fn is_brought(&self, k: usize) -> bool {
        let reached = self.bowing.notes.get(k).map(|note| note.reached);
        reached == Some(Reached::BowChange) && matches!(self.piece(k).join, Join::Lift { .. })
    }

    /// Bowed note `k` goes on in the bow of the one before it after a stop or pulse: hooked, portato.
    pub fn is_stopped(&self, k: usize) -> bool {
        self.bowing.is_stopped(&self.line, k)
    }

    /// Ratio of the planned to the wanted speed of bowed note `k`; 1 where the bow does not move along.
    pub fn speed_ratio(&self, k: usize) -> f64 {
        self.plan.speed_ratio(k)
    }

    /// The run-outs that are told, in the order of the findings.
    pub fn run_outs_told(&self) -> impl Iterator<Item = &RunOut> {
        let told = self.findings.told.iter().filter(|finding| finding.verdict == Verdict::RunsOut);
        let notes = told.flat_map(|finding| finding.notes());
        notes.filter_map(|note| {
            let stroke = self.stroke_of(self.bowed_of(note)?);
            self.plan.run_out(&self.stroke(stroke).notes)
        })
    }

    /// The run-outs that are told and whose way leads through some of these bowed notes, in order.
    pub fn run_outs_told_over(&self, bowed: Range<usize>) -> impl Iterator<Item = &RunOut> {
        let all = &self.plan.run_outs;
        let first = all.partition_point(|run_out| run_out.piece < bowed.start);
        let last = bowed.end.checked_sub(1).map_or(0, |last| self.stroke_of(last));
        let near = all[first..].iter().take_while(move |out| self.stroke_of(out.piece) <= last + UNSEEN);
        near.filter(move |out| out.since < bowed.end && self.is_told(out))
    }

    /// A finding tells of this run-out.
    fn is_told(&self, run_out: &RunOut) -> bool {
        let index = self.stroke_of(run_out.piece);
        let notes = &self.stroke(index).notes;
        let (from, to) = (self.note(notes.start).onset, self.note(notes.end - 1).end());
        self.findings.between(from, to + Quarters::ONE).any(|(finding, more)| {
            let finding = &self.findings.told[finding];
            let note = more.map_or(finding.note, |nth| finding.more[nth].note);
            finding.verdict == Verdict::RunsOut
                && self.bowed_of(note).is_some_and(|k| self.stroke_of(k) == index)
        })
    }

    /// Seconds from the start to `at`, at the practice tempo.
    pub fn seconds_at(&self, at: Quarters) -> f64 {
        self.line.tempo.seconds(at) / self.bowing.tempo_share
    }

    /// [`Self::seconds_at`] between exact times.
    pub fn seconds_at_f64(&self, at: f64) -> f64 {
        self.line.tempo.seconds_f64(at) / self.bowing.tempo_share
    }

    /// Quarter notes from the start after `seconds` at the practice tempo.
    pub fn quarters_at(&self, seconds: f64) -> f64 {
        self.line.tempo.quarters(seconds * self.bowing.tempo_share)
    }

    /// Length of the whole score at the practice tempo, s.
    pub fn total_s(&self) -> f64 {
        self.seconds_at(self.line.end)
    }
}
