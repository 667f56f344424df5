//! The way of the arm from level to level, as bowing and plan ask for it.

use std::ops::Range;

use crate::{
    arm::{self, Alternation, Arm, ArmStep, Crossing, LeftHand, LevelFan},
    setup::Setup,
};

use super::{Bowed, Bowing, Plan, Reached};

/// A gap this long between two sounds is a silence in which the arm can cross, s. Assumed.
const SILENT_FROM_S: f64 = 0.02;

/// Where the arm goes. Indices are into the bowed notes.
#[derive(Clone, Debug, PartialEq)]
pub struct ArmPath {
    /// The seven bow planes.
    pub fan: LevelFan,
    /// The player's bow arm.
    pub arm: Arm,
    /// How the arm goes from level to level, in the order of the music.
    pub crossings: Vec<Crossing>,
    /// Figures that go back and forth between two levels, in the order of the music; two have at most one note in
    /// common.
    pub alternations: Vec<Alternation>,
}

impl ArmPath {
    /// The way of the arm through a plan.
    pub fn new(setup: &Setup, bowing: &Bowing, plan: &Plan, left_hand: &LeftHand) -> Self {
        let fan = LevelFan::new(&setup.instrument);
        let arm = Arm::new(setup, &fan);
        let steps = steps(bowing, plan, left_hand);
        let crossings = arm::crossings(&steps, &fan, &arm, setup.school.approach);
        let alternations = arm::alternations(&crossings, &fan, &arm);
        Self { fan, arm, crossings, alternations }
    }

    /// The crossing into bowed note `k`, if the level changes there.
    pub fn crossing_into(&self, k: usize) -> Option<&Crossing> {
        let index = self.crossings.binary_search_by_key(&k, |crossing| crossing.into).ok()?;
        self.crossings.get(index)
    }

    /// The crossings into some bowed notes, in order.
    pub fn crossings_into(&self, bowed: Range<usize>) -> &[Crossing] {
        let place = |k: usize| self.crossings.partition_point(|crossing| crossing.into < k);
        &self.crossings[place(bowed.start)..place(bowed.end.max(bowed.start))]
    }

    /// The figures back and forth that end at bowed note `k` or later, in order.
    pub fn alternations_from(&self, k: usize) -> &[Alternation] {
        &self.alternations[self.alternations.partition_point(|figure| figure.notes.1 < k)..]
    }
}

/// The bowed notes as the arm meets them.
fn steps(bowing: &Bowing, plan: &Plan, left_hand: &LeftHand) -> Vec<ArmStep> {
    let sounds_until = |before: &Bowed| before.onset_s + before.sounding_s + SILENT_FROM_S;
    let step = |(k, note): (usize, &Bowed)| ArmStep {
        planes: left_hand.placements.get(note.note).map_or_else(Vec::new, |place| place.planes.clone()),
        onset_s: note.onset_s,
        sounding_s: note.sounding_s,
        hair_mm: plan.solution.start_mm[k],
        silence_before: k > 0 && sounds_until(&bowing.notes[k - 1]) < note.onset_s,
        same_stroke: note.reached == Reached::SameStroke,
    };
    bowing.notes.iter().enumerate().map(step).collect()
}
