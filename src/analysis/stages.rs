//! The stages of an analysis, and the one rule by which a stage is taken over from an analysis before.

use std::sync::Arc;

use super::Analysis;
use crate::{
    arm::{LeftHand, places_alike},
    bowing::{ArmPath, Bowing, Evidence, Findings, Pencil, Plan, Tones, asked, problem},
    lesson::{Lesson, Pin},
    score::{Line, Score},
    setup::Setup,
};

/// A stage: something made from parts of the lesson and from stages before it, and from nothing else.
pub(super) trait Stage: PartialEq + Sized {
    /// What it is made from. Two that are equal make the same stage.
    type From<'a>: PartialEq + Copy;
    /// The stages before it that it reads.
    type Stages<'a>: Copy;

    /// What it is made from in a lesson.
    fn from<'a>(lesson: &'a Lesson, stages: Self::Stages<'a>) -> Self::From<'a>;

    /// Makes it; what it can it takes over from the stage before and what that was made from.
    fn make(from: Self::From<'_>, before: Option<(Self::From<'_>, &Self)>) -> Self;
}

/// The stage of a lesson, or that of the analysis before if it is the same. `before` holds the lesson
/// then, its stages before this one, and the stage.
///
/// A stage that was made anew and came out as it was is taken over too, so that the stages behind it see
/// at once that nothing changed for them.
pub(super) fn stage<'a, S: Stage>(
    lesson: &'a Lesson,
    stages: S::Stages<'a>,
    before: Option<(&'a Lesson, S::Stages<'a>, &Arc<S>)>,
) -> Arc<S> {
    let from = S::from(lesson, stages);
    let Some((was_lesson, was_stages, was)) = before else { return Arc::new(S::make(from, None)) };
    let was_from = S::from(was_lesson, was_stages);
    if was_from == from {
        return Arc::clone(was);
    }
    let made = S::make(from, Some((was_from, was)));
    if made == **was { Arc::clone(was) } else { Arc::new(made) }
}

/// A part that a stage is made from; the same where it stands is the same.
#[derive(Debug)]
pub(super) struct Part<'a, T: ?Sized>(&'a T);

impl<T: ?Sized> Clone for Part<'_, T> {
    fn clone(&self) -> Self {
        *self
    }
}

impl<T: ?Sized> Copy for Part<'_, T> {}

impl<T: ?Sized + PartialEq> PartialEq for Part<'_, T> {
    fn eq(&self, other: &Self) -> bool {
        std::ptr::eq(self.0, other.0) || self.0 == other.0
    }
}

impl Stage for Line {
    type From<'a> = Part<'a, Score>;
    type Stages<'a> = ();

    fn from<'a>(lesson: &'a Lesson, (): ()) -> Self::From<'a> {
        Part(&lesson.score)
    }

    fn make(Part(score): Self::From<'_>, _: Option<(Self::From<'_>, &Self)>) -> Self {
        Self::new(score)
    }
}

impl Stage for Bowing {
    type From<'a> = (Part<'a, Line>, Part<'a, Setup>, Part<'a, Score>);
    type Stages<'a> = &'a Arc<Line>;

    fn from<'a>(lesson: &'a Lesson, line: Self::Stages<'a>) -> Self::From<'a> {
        (Part(line), Part(&lesson.setup), Part(&lesson.score))
    }

    fn make((line, setup, score): Self::From<'_>, _: Option<(Self::From<'_>, &Self)>) -> Self {
        Self::new(score.0, line.0, setup.0)
    }
}

impl Stage for Plan {
    type From<'a> = (Part<'a, Line>, Part<'a, Bowing>, Part<'a, [Pin]>, Part<'a, Setup>, Part<'a, Score>);
    type Stages<'a> = (&'a Arc<Line>, &'a Arc<Bowing>);

    fn from<'a>(lesson: &'a Lesson, (line, bowing): Self::Stages<'a>) -> Self::From<'a> {
        (Part(line), Part(bowing), Part(&lesson.pins), Part(&lesson.setup), Part(&lesson.score))
    }

    fn make(from: Self::From<'_>, before: Option<(Self::From<'_>, &Self)>) -> Self {
        let (line, bowing, pins, setup, score) = from;
        let wants = problem(score.0, setup.0, pins.0, line.0, bowing.0);
        Self::new(wants, before.map(|(_, plan)| plan))
    }
}

/// A line that is to be played on an instrument: of both only what strings and fingers depend on counts.
#[derive(Clone, Copy)]
pub(super) struct Fingered<'a> {
    line: &'a Line,
    setup: &'a Setup,
}

impl PartialEq for Fingered<'_> {
    fn eq(&self, other: &Self) -> bool {
        places_alike((&self.line.notes, self.setup), (&other.line.notes, other.setup))
    }
}

impl Stage for LeftHand {
    type From<'a> = Fingered<'a>;
    type Stages<'a> = &'a Arc<Line>;

    fn from<'a>(lesson: &'a Lesson, line: Self::Stages<'a>) -> Self::From<'a> {
        Fingered { line, setup: &lesson.setup }
    }

    fn make(from: Self::From<'_>, _: Option<(Self::From<'_>, &Self)>) -> Self {
        Self::new(from.line, from.setup)
    }
}

impl Stage for ArmPath {
    type From<'a> = (Part<'a, Bowing>, Part<'a, Plan>, Part<'a, LeftHand>, Part<'a, Setup>);
    type Stages<'a> = (&'a Arc<Bowing>, &'a Arc<Plan>, &'a Arc<LeftHand>);

    fn from<'a>(lesson: &'a Lesson, (bowing, plan, left_hand): Self::Stages<'a>) -> Self::From<'a> {
        (Part(bowing), Part(plan), Part(left_hand), Part(&lesson.setup))
    }

    fn make(from: Self::From<'_>, _: Option<(Self::From<'_>, &Self)>) -> Self {
        let (bowing, plan, left_hand, setup) = from;
        Self::new(setup.0, bowing.0, plan.0, left_hand.0)
    }
}

impl Stage for Tones {
    type From<'a> = (Part<'a, Line>, Part<'a, Bowing>, Part<'a, Plan>, Part<'a, LeftHand>, Part<'a, Setup>);
    type Stages<'a> = (&'a Arc<Line>, &'a Arc<Bowing>, &'a Arc<Plan>, &'a Arc<LeftHand>);

    fn from<'a>(lesson: &'a Lesson, (line, bowing, plan, left_hand): Self::Stages<'a>) -> Self::From<'a> {
        (Part(line), Part(bowing), Part(plan), Part(left_hand), Part(&lesson.setup))
    }

    fn make(from: Self::From<'_>, before: Option<(Self::From<'_>, &Self)>) -> Self {
        let (line, bowing, plan, left_hand, setup) = from;
        let asked = asked(setup.0, line.0, bowing.0, plan.0, left_hand.0);
        let known = before.filter(|((.., was), _)| *was == setup).map(|(_, tones)| tones);
        Self::new(setup.0, asked, known)
    }
}

/// What the last stages read: all that come before them, and the lesson.
type Read<'a> = (
    Part<'a, Line>,
    Part<'a, Bowing>,
    Part<'a, Plan>,
    Part<'a, LeftHand>,
    Part<'a, ArmPath>,
    Part<'a, Tones>,
    Part<'a, Lesson>,
);
type ReadStages<'a> =
    (&'a Arc<Line>, &'a Arc<Bowing>, &'a Arc<Plan>, &'a Arc<LeftHand>, &'a Arc<ArmPath>, &'a Arc<Tones>);

fn read<'a>(
    lesson: &'a Lesson,
    (line, bowing, plan, left_hand, arm_path, tones): ReadStages<'a>,
) -> Read<'a> {
    (Part(line), Part(bowing), Part(plan), Part(left_hand), Part(arm_path), Part(tones), Part(lesson))
}

fn evidence((line, bowing, plan, left_hand, arm_path, tones, lesson): Read<'_>) -> Evidence<'_> {
    Evidence {
        lesson: lesson.0,
        line: line.0,
        bowing: bowing.0,
        plan: plan.0,
        left_hand: left_hand.0,
        arm_path: arm_path.0,
        tones: tones.0,
    }
}

impl Stage for Findings {
    type From<'a> = Read<'a>;
    type Stages<'a> = ReadStages<'a>;

    fn from<'a>(lesson: &'a Lesson, stages: Self::Stages<'a>) -> Self::From<'a> {
        read(lesson, stages)
    }

    fn make(from: Self::From<'_>, _: Option<(Self::From<'_>, &Self)>) -> Self {
        Self::new(&evidence(from))
    }
}

fn read_of<'a>(lesson: &'a Lesson, of: &'a Analysis) -> Read<'a> {
    read(lesson, (&of.line, &of.bowing, &of.plan, &of.left_hand, &of.arm_path, &of.tones))
}

/// What a teacher would write over the notes: the last stage, made only when it is asked for.
pub(super) fn pencil(lesson: &Lesson, analysis: &Analysis) -> Pencil {
    Pencil::new(&analysis.evidence(lesson))
}

/// The pencil marks of both are made from the same.
pub(super) fn same_pencil(one: (&Lesson, &Analysis), other: (&Lesson, &Analysis)) -> bool {
    read_of(one.0, one.1) == read_of(other.0, other.1)
}
