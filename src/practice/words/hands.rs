//! What elbow and fingers do in a phrase: the greatest turn of the elbow and its way back, and the finger that is
//! hardest to have down in time.

use std::ops::Range;

use super::{Claim, Draft, Says, story::Story};
use crate::arm::{Crossing, FingerCue, Joint};

/// A turn that moves the elbow less than this is no word worth, mm. Assumed.
const LEAST_MM: f64 = 15.0;
/// A finger set ahead of a crossing is worth a word where there is less time than this, s. Assumed.
const SOON_S: f64 = 0.4;

impl Story<'_> {
    /// Elbow and finger.
    pub fn hands(&self, strokes: &Range<usize>) -> Vec<Draft> {
        let notes = self.notes(strokes);
        self.elbow(&notes).into_iter().chain(self.finger(&notes)).collect()
    }

    /// How much higher the elbow is after a crossing, mm.
    fn rise_mm(&self, crossing: &Crossing) -> f64 {
        let path = &self.analysis.arm_path;
        let height =
            |plane| path.arm.pose(path.fan.level(plane).angle_deg, crossing.hair_mm).elbow_above_floor_mm;
        height(crossing.to) - height(crossing.from)
    }

    fn elbow(&self, notes: &Range<usize>) -> Option<Draft> {
        let inside = notes.start + 1..notes.end;
        let crossings = self.analysis.arm_path.crossings_into(inside);
        let by_arm = |crossing: &&Crossing| {
            crossing.joint == Joint::UpperArm && self.analysis.note(crossing.into).grace.is_none()
        };
        let turns: Vec<(&Crossing, f64)> =
            crossings.iter().filter(by_arm).map(|crossing| (crossing, self.rise_mm(crossing))).collect();
        let (most, (first, rise)) = (turns.iter().copied().enumerate())
            .filter(|(_, (_, rise))| rise.abs() >= LEAST_MM)
            .max_by(|(i, (_, a)), (j, (_, b))| a.abs().total_cmp(&b.abs()).then(j.cmp(i)))?;
        let verb = |rise: f64| if rise > 0.0 { "lifts" } else { "drops" };
        let claim = |crossing: &Crossing, rise: f64| Claim::Elbow { into: crossing.into, rises: rise > 0.0 };
        let level = |crossing: &Crossing| {
            let bar = self.bar_words(self.bar(crossing.into));
            format!("{} in {bar}", self.plane_words(crossing.to))
        };
        let mut text = format!("the elbow {} for {}", verb(rise), level(first));
        let mut claims = vec![claim(first, rise)];
        let mut last = first.into;
        let is_back = |(crossing, other): &&(&Crossing, f64)| {
            // To the same string from its other side would only confuse.
            other.abs() >= LEAST_MM && other * rise < 0.0 && crossing.to != first.to
        };
        let back = turns[most + 1..].iter().find(is_back);
        if let Some((crossing, other)) = back {
            let same_bar = self.bar(crossing.into) == self.bar(first.into);
            let there = if same_bar { self.plane_words(crossing.to) } else { level(crossing) };
            text += &format!(" and {} again for {there}", verb(*other));
            claims.push(claim(crossing, *other));
            last = crossing.into;
        }
        Some(Draft::new(first.into..last + 1, Says::Elbow, claims, &format!("{text}.")))
    }

    fn finger(&self, notes: &Range<usize>) -> Option<Draft> {
        let line = |note: usize| self.analysis.bowed(note).note;
        // How the first note is fingered is said where it starts.
        let cues = self.analysis.left_hand.cues_of(line(notes.start) + 1..line(notes.end - 1) + 1);
        let hard = |cue: &&FingerCue| {
            let note = self.analysis.bowed_of(cue.note)?;
            let time_s = self.analysis.bowed(note).onset_s
                - self.analysis.bowed(note.checked_sub(1)?.max(notes.start)).onset_s;
            let soon = time_s < SOON_S;
            let rank = match (cue.hops_from, cue.across, cue.shifts) {
                (Some(_), false, _) => 3,
                (_, _, true) if soon => 2,
                (_, true, _) if soon => 1,
                _ => return None,
            };
            Some((rank, note))
        };
        let found = cues.iter().filter_map(|cue| hard(&cue).map(|(rank, note)| (rank, note, cue)));
        let (_, note, cue) = found.max_by_key(|(rank, note, _)| (*rank, std::cmp::Reverse(*note)))?;
        let called = self.evidence.called(note);
        let bar = self.bar_words(self.bar(note));
        let text = format!("{}, before {called} in {bar}.", cue.words(&self.lesson.setup));
        Some(Draft::new(note.saturating_sub(1).max(notes.start)..note + 1, Says::Finger, Vec::new(), &text))
    }
}
