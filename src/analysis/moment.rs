//! Where bow and arm are at one moment.

use super::Analysis;
use crate::{
    arm::{self, ArmPose, NEARING_PART, Plane},
    bowing::Reached,
    score::Direction,
};

/// Where the bow is at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BowState {
    /// The note of the line that sounds, or that comes next; none after the last.
    pub note: Option<usize>,
    /// Its stroke; none while a note is plucked.
    pub stroke: Option<usize>,
    /// Contact point, mm from the frog.
    pub hair_mm: f64,
    /// The hair is on the string.
    pub on_string: bool,
    /// Direction of the sounding stroke.
    pub direction: Option<Direction>,
    /// Speed of the bow, mm/s, never negative.
    pub speed_mm_per_s: f64,
    /// Bow plane.
    pub plane: Plane,
    /// Angle of the bow in the instrument's frame, degrees; moves smoothly between planes.
    pub level_deg: f64,
}

/// Part of the time on the lower strings of a broken chord after which the arm turns on. Assumed.
const BREAK_TURN: f64 = 0.5;
/// Times in quarter notes that are nearer are the same.
const ROUNDING: f64 = 1e-9;
/// Moments at which the curve of the levels is taken while the arm moves.
const CURVE_POINTS: usize = 8;

impl Analysis {
    /// The arm with the bow in a state.
    pub fn arm_at(&self, state: &BowState) -> ArmPose {
        self.arm_path.arm.pose(state.level_deg, state.hair_mm)
    }

    /// The bow on the string apart from the music: on its way from one level to another, of which this share is
    /// done, at a place on the hair.
    pub fn bow_between(&self, (from, to): (Plane, Plane), share: f64, hair_mm: f64) -> BowState {
        let [a, b] = [from, to].map(|plane| self.arm_path.fan.level(plane).angle_deg);
        BowState {
            note: None,
            stroke: None,
            hair_mm,
            on_string: true,
            direction: None,
            speed_mm_per_s: 0.0,
            plane: if share < 0.5 { from } else { to },
            level_deg: a + (b - a) * share,
        }
    }

    /// Where the bow is after `seconds` at the practice tempo.
    pub fn bow_at(&self, seconds: f64) -> BowState {
        let Some(last) = self.bowing.notes.len().checked_sub(1) else {
            let plane = Plane::String(1);
            return BowState {
                note: None,
                stroke: None,
                hair_mm: self.plan.problem.usable.0,
                on_string: false,
                direction: None,
                speed_mm_per_s: 0.0,
                plane,
                level_deg: self.arm_path.fan.level(plane).angle_deg,
            };
        };
        let after = self.bowing.notes.partition_point(|note| note.onset_s <= seconds);
        // Before the first note the bow waits where it will start.
        let k = after.saturating_sub(1);
        let note = self.bowed(k);
        let (start, end) = self.ends_mm(k);
        let into = seconds - note.onset_s;
        let sounds = after > 0 && into < note.sounding_s;
        let share = if note.sounding_s > 0.0 { (into / note.sounding_s).clamp(0.0, 1.0) } else { 1.0 };
        let mut hair_mm = if after == 0 { start } else { start + (end - start) * share };
        let next = (k < last && after > 0).then(|| k + 1);
        let stopped = next.is_some_and(|next| !matches!(self.bowed(next).reached, Reached::Air(_)));
        let mut on_string = sounds || stopped && into >= 0.0;
        if let Some(next) = next
            && !sounds
            && let Reached::Air(_) = self.bowed(next).reached
        {
            // Through the air, smoothly, to be there in time.
            let from = note.onset_s + note.sounding_s;
            let gap = self.bowed(next).onset_s - from;
            let t = if gap > 0.0 { ((seconds - from) / gap).clamp(0.0, 1.0) } else { 1.0 };
            hair_mm = end + (self.plan.solution.start_mm[next] - end) * (t * t * (3.0 - 2.0 * t));
            on_string = false;
        }
        let (plane, level_deg) = self.level_at(k, seconds);
        let speed = if sounds && note.sounding_s > 0.0 { (end - start).abs() / note.sounding_s } else { 0.0 };
        let plucked = self.plucked_at(seconds);
        let sounds = sounds && plucked.is_none();
        let speed = if sounds { speed } else { 0.0 };
        BowState {
            note: plucked.or((k < last || sounds || after == 0).then_some(note.note)),
            stroke: plucked.is_none().then(|| self.stroke_of(k)),
            hair_mm,
            on_string: on_string && plucked.is_none(),
            direction: sounds.then_some(note.direction),
            speed_mm_per_s: speed,
            plane,
            level_deg,
        }
    }

    /// The note of the line that is plucked and sounds after `seconds` at the practice tempo.
    fn plucked_at(&self, seconds: f64) -> Option<usize> {
        let at = self.quarters_at(seconds) + ROUNDING;
        let notes = &self.line.notes;
        let index = notes.partition_point(|note| note.onset.to_f64() <= at).checked_sub(1)?;
        (notes[index].pizzicato && at < notes[index].end().to_f64()).then_some(index)
    }

    /// Bow plane and angle during a bowed note (until the next one starts). The angle moves smoothly:
    /// within a broken chord, while the arm nears the next string, and while it crosses.
    pub(super) fn level_at(&self, k: usize, seconds: f64) -> (Plane, f64) {
        let note = self.bowed(k);
        let planes = self.left_hand.placements.get(note.note).map_or(&[][..], |placement| &placement.planes);
        let Some((mut plane, rest)) = planes.split_first() else {
            return (Plane::String(1), self.arm_path.fan.level(Plane::String(1)).angle_deg);
        };
        let mut level_deg = self.arm_path.fan.level(*plane).angle_deg;
        let mut from = note.onset_s;
        for (next, lasts) in rest.iter().zip(arm::chord_seconds(note.sounding_s, planes.len())) {
            let turn = from + lasts * BREAK_TURN;
            let target = self.arm_path.fan.level(*next).angle_deg;
            level_deg += (target - level_deg) * smooth(seconds, turn, from + lasts);
            from += lasts;
            if seconds < from {
                break;
            }
            plane = next;
        }
        if let Some(crossing) = self.arm_path.crossing_into(k + 1)
            && seconds > crossing.starts_s
        {
            let level = self.arm_path.fan.level(crossing.from);
            let up = crossing.angle_deg > 0.0;
            let margin = if up { level.margin_up_deg } else { level.margin_down_deg };
            let near = margin.min(crossing.angle_deg.abs()) * NEARING_PART * crossing.angle_deg.signum();
            let nears = crossing.starts_s < crossing.leaves_s;
            let neared =
                if nears { near * smooth(seconds, crossing.starts_s, crossing.leaves_s) } else { 0.0 };
            let crossed = smooth(seconds, crossing.leaves_s, crossing.arrives_s);
            level_deg += neared + (crossing.angle_deg - neared) * crossed;
        }
        (*plane, level_deg)
    }

    /// The angle of the bow over one bowed note as points (s, degrees), until the next note starts
    /// or, where a silence follows that long, until the arm is where the next note needs it.
    pub fn level_curve(&self, k: usize) -> Vec<(f64, f64)> {
        let note = self.bowed(k);
        let until = self.bowing.notes.get(k + 1).map_or(note.onset_s + note.sounding_s, |next| next.onset_s);
        let mut moments = vec![note.onset_s];
        let mut spread = |from: f64, to: f64| {
            moments.extend((0..=CURVE_POINTS).map(|i| from + (to - from) * i as f64 / CURVE_POINTS as f64));
        };
        let planes = self.left_hand.placements.get(note.note).map_or(1, |placement| placement.planes.len());
        let mut from = note.onset_s;
        for lasts in arm::chord_seconds(note.sounding_s, planes).into_iter().take(planes.saturating_sub(1)) {
            spread(from + lasts * BREAK_TURN, from + lasts);
            from += lasts;
        }
        if let Some(crossing) = self.arm_path.crossing_into(k + 1) {
            if crossing.starts_s < crossing.leaves_s {
                spread(crossing.starts_s, crossing.leaves_s);
            }
            spread(crossing.leaves_s, crossing.arrives_s);
        }
        moments.push(until);
        moments.retain(|at| (note.onset_s..=until).contains(at));
        moments.into_iter().map(|at| (at, self.level_at(k, at).1)).collect()
    }
}

/// 0 before `from`, 1 after `to`, and smoothly between.
fn smooth(seconds: f64, from: f64, to: f64) -> f64 {
    let t =
        if to > from { ((seconds - from) / (to - from)).clamp(0.0, 1.0) } else { f64::from(seconds >= to) };
    t * t * (3.0 - 2.0 * t)
}
