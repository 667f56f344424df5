//! From a lesson to all that is known about it.

use crate::{
    arm::{Arm, ArmPose, LevelFan, Placement, Plane, place, places_alike},
    bowing::{
        self, Bowed, Evidence, Finding, MarkedPath, Problem, Reached, Solution, Stroke, findings, marked_path,
    },
    lesson::Lesson,
    score::{Attack, Direction, Dynamics, Quarters, TempoMap, attacks, bow_line},
    tone::ToneNote,
};

/// What is known about a lesson. Window, commands and pages read this and compute nothing of their
/// own.
#[derive(Clone, Debug)]
pub struct Analysis {
    /// What one bow plays, plucked notes included.
    pub line: Vec<Attack>,
    /// Attacks of other voices that one bow does not play.
    pub left_out: usize,
    /// How each bowed note is bowed; parallel to the pieces of the problem.
    pub bowed: Vec<Bowed>,
    /// For each note of the line its place in `bowed`; none for plucked notes.
    pub bowed_of_note: Vec<Option<usize>>,
    /// Strokes, as ranges of `bowed`.
    pub strokes: Vec<Stroke>,
    /// For each bowed note its stroke.
    pub stroke_of_bowed: Vec<usize>,
    /// The planner's problem.
    pub problem: Problem,
    /// The best way through.
    pub solution: Solution,
    /// The way with no foresight.
    pub marked: MarkedPath,
    /// The seven bow planes.
    pub fan: LevelFan,
    /// The player's bow arm.
    pub arm: Arm,
    /// Strings and bow plane of each note of the line.
    pub placements: Vec<Placement>,
    /// Speed, weight and sounding point of each bowed note; parallel to `bowed`.
    pub tone: Vec<ToneNote>,
    /// What to know, in the order of the music.
    pub findings: Vec<Finding>,
    /// Findings the lesson silences, each with the reason given.
    pub silenced: Vec<(Finding, String)>,
    /// What was assumed or left out.
    pub notices: Vec<String>,
    tempo: TempoMap,
    tempo_share: f64,
    end: Quarters,
}

/// Where the bow is at one moment.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct BowState {
    /// The note of the line that sounds, or that comes next; none after the last.
    pub note: Option<usize>,
    /// Its stroke.
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

/// Time before a note during which the arm moves to its level, s; at most this share of the note
/// before. Assumed.
const CROSSING_S: f64 = 0.12;
const CROSSING_SHARE: f64 = 0.4;

/// Analyses a lesson. Pure: the same lesson gives the same analysis, and any lesson gives one.
pub fn analyse(lesson: &Lesson) -> Analysis {
    analyse_with(lesson, |line| place(line, &lesson.setup))
}

/// The same as [`analyse`], faster where only the bowing differs from an earlier lesson: the strings
/// of its analysis are then taken over.
pub fn analyse_after(lesson: &Lesson, earlier: &Lesson, known: &Analysis) -> Analysis {
    let (new, old) = (&lesson.setup, &earlier.setup);
    analyse_with(lesson, |line| {
        if places_alike((line, new), (&known.line, old)) {
            known.placements.clone()
        } else {
            place(line, new)
        }
    })
}

fn analyse_with(lesson: &Lesson, placed: impl Fn(&[Attack]) -> Vec<Placement>) -> Analysis {
    let Lesson { score, setup, .. } = lesson;
    let all = attacks(score);
    let (line, left_out) = bow_line(&all);
    let dynamics = Dynamics::new(score);
    let bowed = bowing::bow(score, &line, setup);
    let strokes = bowing::strokes(&bowed);
    let problem = bowing::problem(lesson, &line, &dynamics, &bowed);
    let mut notices = notices(lesson, left_out.len());
    let (solution, marked) = match bowing::solve(&problem) {
        Ok(solution) => {
            let marked = marked_path(&problem, &solution);
            (solution, marked)
        }
        Err(error) => {
            notices.push(format!("No plan can be made: {error}. Check the figures of the set-up."));
            let still = vec![problem.usable.0; problem.pieces.len()];
            let anywhere = vec![problem.usable; problem.pieces.len()];
            let solution = Solution {
                start_mm: still.clone(),
                end_mm: still.clone(),
                corridor_start: anywhere.clone(),
                corridor_finish: anywhere,
                ..Solution::default()
            };
            (solution, MarkedPath { start_mm: still.clone(), end_mm: still, run_outs: Vec::new() })
        }
    };
    let placements = placed(&line);
    let tone = bowing::tones(setup, &line, &dynamics, &bowed, (&problem, &solution), &placements);
    let mut bowed_of_note = vec![None; line.len()];
    for (k, note) in bowed.iter().enumerate() {
        bowed_of_note[note.note] = Some(k);
    }
    let mut stroke_of_bowed = vec![0; bowed.len()];
    for (index, stroke) in strokes.iter().enumerate() {
        stroke_of_bowed[stroke.notes.clone()].fill(index);
    }
    let fan = LevelFan::new(&setup.instrument);
    let found = findings(&Evidence {
        lesson,
        line: &line,
        dynamics: &dynamics,
        bowed: &bowed,
        strokes: &strokes,
        stroke_of_bowed: &stroke_of_bowed,
        problem: &problem,
        solution: &solution,
        marked: &marked,
    });
    Analysis {
        left_out: left_out.len(),
        bowed_of_note,
        strokes,
        stroke_of_bowed,
        problem,
        solution,
        marked,
        arm: Arm::new(setup, &fan),
        fan,
        placements,
        tone,
        findings: found.told,
        silenced: found.silenced,
        notices,
        tempo: score.tempo_map(),
        tempo_share: setup.tempo_share,
        end: score.end(),
        line,
        bowed,
    }
}

fn notices(lesson: &Lesson, left_out: usize) -> Vec<String> {
    use crate::score::SignKind;
    let signs = &lesson.score.signs;
    let mut notices = Vec::new();
    if !signs.iter().any(|sign| matches!(sign.kind, SignKind::Tempo { .. })) {
        notices.push("No tempo is given; 120 quarter notes a minute are assumed.".to_owned());
    }
    let first = lesson.score.events.iter().find(|event| !event.is_rest()).map(|event| event.onset);
    let marked = |at| signs.iter().any(|sign| sign.at <= at && matches!(sign.kind, SignKind::Dynamic(_)));
    if first.is_some_and(|at| !marked(at)) {
        notices.push("No dynamic is given at the start; mf is assumed.".to_owned());
    }
    if lesson.score.bars.iter().any(|bar| bar.repeat_start || bar.repeat_end) {
        notices.push("Repeats are planned as written, once through.".to_owned());
    }
    if left_out > 0 {
        notices.push(format!(
            "{left_out} notes of other voices are shown but not planned: one bow plays the first voice."
        ));
    }
    notices
}

impl Analysis {
    /// Seconds from the start to `at`, at the practice tempo.
    pub fn seconds_at(&self, at: Quarters) -> f64 {
        self.tempo.seconds(at) / self.tempo_share
    }

    /// [`Self::seconds_at`] between exact times.
    pub fn seconds_at_f64(&self, at: f64) -> f64 {
        self.tempo.seconds_f64(at) / self.tempo_share
    }

    /// Quarter notes from the start after `seconds` at the practice tempo.
    pub fn quarters_at(&self, seconds: f64) -> f64 {
        self.tempo.quarters(seconds * self.tempo_share)
    }

    /// Length of the whole score at the practice tempo, s.
    pub fn total_s(&self) -> f64 {
        self.seconds_at(self.end)
    }

    /// Ratio of the planned to the wanted speed of a bowed note; 1 where nothing is wanted.
    pub fn speed_ratio(&self, bowed: usize) -> f64 {
        bowing::speed_ratio(&self.problem, &self.solution, bowed)
    }

    /// The arm with the bow in a state.
    pub fn arm_at(&self, state: &BowState) -> ArmPose {
        self.arm.pose(state.level_deg, state.hair_mm)
    }

    /// Where the bow is after `seconds` at the practice tempo.
    pub fn bow_at(&self, seconds: f64) -> BowState {
        let plane_of =
            |k: usize| self.placements.get(self.bowed[k].note).map_or(Plane::String(1), |p| p.plane);
        let Some(last) = self.bowed.len().checked_sub(1) else {
            let plane = Plane::String(1);
            return BowState {
                note: None,
                stroke: None,
                hair_mm: self.problem.usable.0,
                on_string: false,
                direction: None,
                speed_mm_per_s: 0.0,
                plane,
                level_deg: self.fan.level(plane).angle_deg,
            };
        };
        let after = self.bowed.partition_point(|note| note.onset_s <= seconds);
        // Before the first note the bow waits where it will start.
        let k = after.saturating_sub(1);
        let note = &self.bowed[k];
        let (start, end) = (self.solution.start_mm[k], self.solution.end_mm[k]);
        let into = seconds - note.onset_s;
        let sounds = after > 0 && into < note.sounding_s;
        let share = if note.sounding_s > 0.0 { (into / note.sounding_s).clamp(0.0, 1.0) } else { 1.0 };
        let mut hair_mm = if after == 0 { start } else { start + (end - start) * share };
        let next = (k < last && after > 0).then(|| k + 1);
        let stopped = next.is_some_and(|next| !matches!(self.bowed[next].reached, Reached::Air(_)));
        let mut on_string = sounds || stopped && into >= 0.0;
        if let Some(next) = next
            && !sounds
            && let Reached::Air(_) = self.bowed[next].reached
        {
            // Through the air, smoothly, to be there in time.
            let from = note.onset_s + note.sounding_s;
            let gap = self.bowed[next].onset_s - from;
            let t = if gap > 0.0 { ((seconds - from) / gap).clamp(0.0, 1.0) } else { 1.0 };
            hair_mm = end + (self.solution.start_mm[next] - end) * (t * t * (3.0 - 2.0 * t));
            on_string = false;
        }
        let here = self.fan.level(plane_of(k)).angle_deg;
        let mut level_deg = here;
        if let Some(next) = next {
            let until = self.bowed[next].onset_s;
            let lead = CROSSING_S.min((until - note.onset_s) * CROSSING_SHARE);
            if lead > 0.0 && seconds > until - lead {
                let t = ((seconds - (until - lead)) / lead).clamp(0.0, 1.0);
                level_deg += (self.fan.level(plane_of(next)).angle_deg - here) * (t * t * (3.0 - 2.0 * t));
            }
        }
        let speed = if sounds && note.sounding_s > 0.0 { (end - start).abs() / note.sounding_s } else { 0.0 };
        BowState {
            note: (k < last || sounds || after == 0).then_some(note.note),
            stroke: Some(self.stroke_of_bowed[k]),
            hair_mm,
            on_string,
            direction: sounds.then_some(note.direction),
            speed_mm_per_s: speed,
            plane: plane_of(k),
            level_deg,
        }
    }
}
