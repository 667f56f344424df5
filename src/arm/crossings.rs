//! How the arm goes from one bow plane to the next: when it starts, how far and how fast it moves,
//! and what moves it.
//!
//! What moves (common practice, no source): two neighbouring strings back and forth are turned by
//! hand and forearm; a string to stay on, or strings skipped, take the upper arm. Schools differ on
//! when: in a legato bow the arm nears the next string before the change, or waits for it; after a
//! stop it crosses in the silence.

use crate::setup::Approach;

use super::{Arm, LevelFan, Plane, hand_travel_mm};

/// One bowed note as the arm meets it.
#[derive(Clone, Debug, PartialEq)]
pub struct ArmStep {
    /// Bow planes from its start to its end; more than one for a broken chord.
    pub planes: Vec<Plane>,
    /// When it starts, s.
    pub onset_s: f64,
    /// How long the bow moves for it, s.
    pub sounding_s: f64,
    /// Place on the hair at its start, mm from the frog.
    pub hair_mm: f64,
    /// The bow stops or is lifted before it.
    pub silence_before: bool,
    /// It goes on in the stroke of the note before it.
    pub same_stroke: bool,
}

/// What turns the bow to the next level.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Joint {
    /// Hand and forearm; the upper arm keeps a level between.
    HandAndForearm,
    /// The whole arm, led by the upper arm.
    UpperArm,
}

impl Joint {
    /// In words.
    pub fn words(self) -> &'static str {
        match self {
            Self::HandAndForearm => "hand and forearm",
            Self::UpperArm => "upper arm",
        }
    }
}

/// A change of level on the way into a note.
#[derive(Clone, Debug, PartialEq)]
pub struct Crossing {
    /// Index of the note it leads to.
    pub into: usize,
    /// From this plane.
    pub from: Plane,
    /// To this plane.
    pub to: Plane,
    /// Turn of the bow, degrees; positive where the hand goes away from the top plate.
    pub angle_deg: f64,
    /// Way of the hand at this place on the bow, mm.
    pub hand_mm: f64,
    /// The arm starts to move, s.
    pub starts_s: f64,
    /// It has left its string, s: from here it crosses.
    pub leaves_s: f64,
    /// It is there, s: the onset of the note.
    pub arrives_s: f64,
    /// From the onset of the note before, s: the hand may prepare in all of it.
    pub time_s: f64,
    /// What moves.
    pub joint: Joint,
    /// Strings passed over.
    pub skipped: u8,
    /// The bow goes on without a stop, so a string that is passed over may sound.
    pub in_one_bow: bool,
    /// Place on the hair, mm from the frog.
    pub hair_mm: f64,
}

impl Crossing {
    /// Mean speed of the turn, degrees per second.
    pub fn deg_per_s(&self) -> f64 {
        self.angle_deg.abs() / (self.arrives_s - self.leaves_s).max(1e-3)
    }

    /// Speed of a hand that prepares during the whole note before, mm per second.
    pub fn hand_mm_per_s(&self) -> f64 {
        self.hand_mm / self.time_s.max(1e-3)
    }

    /// Size, speed and joint in words: "From D to A: the bow turns 17°, the hand moves 4.1 cm at this
    /// place, in 0.12 s (144° a second), with the upper arm".
    pub fn words(&self, fan: &LevelFan) -> String {
        let name = |plane: Plane| fan.level(plane).name.replace('+', " and ");
        let mut words = format!(
            "From {} to {}: the bow turns {:.0}°, the hand moves {:.1} cm at this place, in {:.2} s ({:.0}° a second), with the {}",
            name(self.from),
            name(self.to),
            self.angle_deg.abs(),
            self.hand_mm / 10.0,
            (self.arrives_s - self.leaves_s).max(0.0),
            self.deg_per_s(),
            self.joint.words()
        );
        let before = self.leaves_s - self.starts_s;
        if before >= 0.05 {
            words += &format!("; the arm starts {before:.1} s before");
        }
        match self.skipped {
            0 => {}
            1 => words += "; one string is passed over",
            more => words += &format!("; {more} strings are passed over"),
        }
        words
    }
}

/// The same two planes in turn, several times.
#[derive(Clone, Debug, PartialEq)]
pub struct Alternation {
    /// First and last note.
    pub notes: (usize, usize),
    /// Its two planes, the first one first.
    pub planes: (Plane, Plane),
    /// The level that serves both, degrees: the arm holds it, hand and forearm do the rest.
    pub middle_deg: f64,
    /// Turn of the bow from the middle level to each side, degrees.
    pub swing_deg: f64,
    /// Way of the hand to each side at the middle of its stretch of hair, mm.
    pub hand_mm: f64,
}

impl Alternation {
    /// What the arm does meanwhile: "Back and forth: the arm holds 5°, hand and forearm turn 8.5° to each
    /// side, 2.1 cm".
    pub fn words(&self) -> String {
        format!(
            "Back and forth: the arm holds {:.0}°, hand and forearm turn {:.1}° to each side, {:.1} cm",
            self.middle_deg,
            self.swing_deg.abs(),
            self.hand_mm / 10.0
        )
    }
}

/// Time for a crossing itself, s; at most this share of the time between the two onsets. Assumed.
const CROSSING_S: f64 = 0.12;
const CROSSING_SHARE: f64 = 0.4;
/// Nearing the next string begins at most this long before the crossing, s, and at most this share
/// of the note before. Assumed.
const NEARING_S: f64 = 0.6;
const NEARING_SHARE: f64 = 0.5;
/// Nearing goes this part of the way to where the next string would sound. Assumed.
pub(crate) const NEARING_PART: f64 = 0.6;
/// Back and forth counts as such when each string is left again within this time, s. Assumed.
const BACK_WITHIN_S: f64 = 0.8;
/// Crossings in a row that make an alternation. Assumed.
const ALTERNATES_FROM: usize = 3;

/// All crossings of a line, in order. `steps` are its bowed notes; a broken chord crosses within the
/// note, which is not told here.
pub fn crossings(steps: &[ArmStep], fan: &LevelFan, arm: &Arm, approach: Approach) -> Vec<Crossing> {
    let changes = |k: usize| -> Option<(Plane, Plane)> {
        let from = *steps.get(k.checked_sub(1)?)?.planes.last()?;
        let to = *steps.get(k)?.planes.first()?;
        (from != to).then_some((from, to))
    };
    let mut found = Vec::new();
    for k in 1..steps.len() {
        let Some((from, to)) = changes(k) else { continue };
        let (before, step) = (&steps[k - 1], &steps[k]);
        let angle_deg = fan.level(to).angle_deg - fan.level(from).angle_deg;
        let between = (step.onset_s - before.onset_s).max(0.0);
        let silent_from = (before.onset_s + before.sounding_s).min(step.onset_s);
        let in_silence = step.silence_before && silent_from < step.onset_s;
        let leaves_s =
            if in_silence { silent_from } else { step.onset_s - CROSSING_S.min(between * CROSSING_SHARE) };
        let nears = approach == Approach::Gradual && !step.silence_before;
        let starts_s =
            if nears { leaves_s - NEARING_S.min(between * NEARING_SHARE).max(0.0) } else { leaves_s };
        let back = |a: usize, b: usize| {
            changes(a).zip(changes(b)).is_some_and(|(x, y)| x == (y.1, y.0))
                && (steps[b].onset_s - steps[a].onset_s) <= BACK_WITHIN_S
        };
        let returns = back(k - 1, k) || k + 1 < steps.len() && back(k, k + 1);
        let skipped = passed_over(from, to);
        let joint = if returns && skipped == 0 { Joint::HandAndForearm } else { Joint::UpperArm };
        found.push(Crossing {
            into: k,
            from,
            to,
            angle_deg,
            hand_mm: hand_travel_mm(arm.hand_from_string_mm(step.hair_mm), angle_deg),
            starts_s: starts_s.max(before.onset_s),
            leaves_s,
            arrives_s: step.onset_s,
            time_s: between,
            joint,
            skipped,
            in_one_bow: step.same_stroke && !step.silence_before,
            hair_mm: step.hair_mm,
        });
    }
    found
}

/// Strings that lie between two planes and belong to neither.
fn passed_over(from: Plane, to: Plane) -> u8 {
    let strings = |plane| match plane {
        Plane::String(n) => (n, n),
        Plane::Pair(n) => (n, n.saturating_add(1)),
    };
    let ((a0, a1), (b0, b1)) = (strings(from), strings(to));
    if a1 < b0 {
        b0 - a1 - 1
    } else if b1 < a0 {
        a0 - b1 - 1
    } else {
        0
    }
}

/// Figures that go back and forth between two planes, in order.
pub fn alternations(crossings: &[Crossing], fan: &LevelFan, arm: &Arm) -> Vec<Alternation> {
    let mut found = Vec::new();
    let mut first = 0;
    while first < crossings.len() {
        let run = 1 + crossings[first..]
            .windows(2)
            .take_while(|two| {
                (two[0].from, two[0].to) == (two[1].to, two[1].from)
                    && two[1].arrives_s - two[0].arrives_s <= BACK_WITHIN_S
            })
            .count();
        if run >= ALTERNATES_FROM {
            let here = &crossings[first..first + run];
            let (a, b) = (fan.level(here[0].from).angle_deg, fan.level(here[0].to).angle_deg);
            let swing_deg = (a - b).abs() / 2.0;
            let hair_mm = here.iter().map(|crossing| crossing.hair_mm).sum::<f64>() / run as f64;
            found.push(Alternation {
                notes: (here[0].into - 1, here[run - 1].into),
                planes: (here[0].from, here[0].to),
                middle_deg: (a + b) / 2.0,
                swing_deg,
                hand_mm: hand_travel_mm(arm.hand_from_string_mm(hair_mm), swing_deg),
            });
        }
        first += run;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::setup::{Family, Setup};

    fn line(planes: &[Plane], each_s: f64, hair_mm: f64) -> Vec<ArmStep> {
        planes
            .iter()
            .enumerate()
            .map(|(k, &plane)| ArmStep {
                planes: vec![plane],
                onset_s: each_s * k as f64,
                sounding_s: each_s,
                hair_mm,
                silence_before: false,
                same_stroke: true,
            })
            .collect()
    }

    fn arm() -> (LevelFan, Arm) {
        let setup = Setup::for_family(Family::Violin);
        let fan = LevelFan::new(&setup.instrument);
        let arm = Arm::new(&setup, &fan);
        (fan, arm)
    }

    use Plane::{Pair, String as Of};

    /// Common practice, no source: neighbouring strings back and forth are turned by hand and
    /// forearm, a string to stay on and skipped strings take the upper arm.
    #[test]
    fn back_and_forth_is_the_forearm_and_a_lasting_change_the_upper_arm() {
        let (fan, arm) = arm();
        let joints = |planes: &[Plane]| -> Vec<Joint> {
            crossings(&line(planes, 0.2, 300.0), &fan, &arm, Approach::Gradual)
                .iter()
                .map(|c| c.joint)
                .collect()
        };
        assert_eq!(joints(&[Of(2), Of(3), Of(2), Of(3)]), [Joint::HandAndForearm; 3]);
        assert_eq!(joints(&[Of(2), Of(2), Of(3), Of(3)]), [Joint::UpperArm]);
        assert_eq!(joints(&[Of(1), Of(3), Of(1)]), [Joint::UpperArm; 2]);
        assert_eq!(joints(&[Of(1), Of(1)]), []);
    }

    /// The way of the hand is 2 l sin(angle / 2): computed, a fact of geometry. It is many times
    /// longer at the tip than at the frog.
    #[test]
    fn the_hand_travels_far_at_the_tip() {
        let (fan, arm) = arm();
        let at = |hair| {
            crossings(&line(&[Of(3), Pair(2)], 0.5, hair), &fan, &arm, Approach::AtTheChange)[0].clone()
        };
        let (frog, tip) = (at(10.0), at(640.0));
        assert_eq!(frog.angle_deg, tip.angle_deg);
        let length = arm.hand_from_string_mm(640.0);
        let expected = 2.0 * length * (tip.angle_deg.abs().to_radians() / 2.0).sin();
        assert!((tip.hand_mm - expected).abs() < 1e-9);
        assert!(tip.hand_mm > 5.0 * frog.hand_mm);
    }

    #[test]
    fn strings_between_are_counted() {
        assert_eq!(passed_over(Of(1), Of(2)), 0);
        assert_eq!(passed_over(Of(4), Of(1)), 2);
        assert_eq!(passed_over(Pair(1), Of(4)), 1);
        assert_eq!(passed_over(Pair(1), Of(2)), 0);
    }

    /// Common practice, no source: after a stop the arm crosses in the silence; in legato one school
    /// nears the string before, the other waits.
    #[test]
    fn schools_differ_on_when_the_arm_starts() {
        let (fan, arm) = arm();
        let mut steps = line(&[Of(2), Of(3)], 1.0, 300.0);
        let starts = |steps: &[ArmStep], approach| crossings(steps, &fan, &arm, approach)[0].starts_s;
        assert!(starts(&steps, Approach::Gradual) < starts(&steps, Approach::AtTheChange));
        steps[0].sounding_s = 0.5;
        steps[1].silence_before = true;
        for approach in [Approach::Gradual, Approach::AtTheChange] {
            assert_eq!(starts(&steps, approach), 0.5);
        }
    }

    #[test]
    fn a_middle_level_serves_an_alternation() {
        let (fan, arm) = arm();
        let steps = line(&[Of(2), Of(3), Of(2), Of(3), Of(2), Of(4)], 0.15, 200.0);
        let all = crossings(&steps, &fan, &arm, Approach::Gradual);
        let found = alternations(&all, &fan, &arm);
        assert_eq!(found.len(), 1);
        assert_eq!((found[0].notes, found[0].planes), ((0, 4), (Of(2), Of(3))));
        // The pair of two strings lies at the mean of their tangents: a fact of geometry.
        assert!((found[0].middle_deg - fan.level(Pair(2)).angle_deg).abs() < 1e-9);
        // A single crossing, and one too slow to swing, are none.
        assert!(alternations(&all[..1], &fan, &arm).is_empty());
    }
}
