//! From a lesson to all that is known about it.

mod care;
mod moment;
mod study;

pub use moment::BowState;
pub use study::{Study, StudyId};

use crate::{
    arm::{self, Alternation, Arm, ArmStep, Crossing, FingerCue, LevelFan, Placement, place, places_alike},
    bowing::{
        self, Bowed, Evidence, Finding, MarkedPath, Problem, Reached, Solution, Stroke, findings, marked_path,
    },
    lesson::Lesson,
    score::{Attack, Dynamics, Quarters, TempoMap, attacks, bow_line},
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
    /// Fingers to set before the bow crosses to their string.
    pub finger_cues: Vec<FingerCue>,
    /// How the arm goes from level to level; indices are into `bowed`.
    pub crossings: Vec<Crossing>,
    /// Figures that go back and forth between two levels; indices are into `bowed`.
    pub alternations: Vec<Alternation>,
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

/// A gap this long between two sounds is a silence in which the arm can cross, s. Assumed.
const SILENT_FROM_S: f64 = 0.02;
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
    let arm = Arm::new(setup, &fan);
    let steps = arm_steps(&bowed, &placements, &solution);
    let crossings = arm::crossings(&steps, &fan, &arm, setup.school.approach);
    let alternations = arm::alternations(&crossings, &fan, &arm);
    let tempo = score.tempo_map();
    let found = findings(&Evidence {
        lesson,
        tempo: &tempo,
        sections: &score.bar_sections(),
        line: &line,
        dynamics: &dynamics,
        bowed: &bowed,
        strokes: &strokes,
        stroke_of_bowed: &stroke_of_bowed,
        problem: &problem,
        solution: &solution,
        pinned: &problem.pinned(),
        unplanned: &solution.unplanned(),
        marked: &marked,
        tone: &tone,
        crossings: &crossings,
    });
    Analysis {
        left_out: left_out.len(),
        bowed_of_note,
        strokes,
        stroke_of_bowed,
        problem,
        solution,
        marked,
        finger_cues: arm::finger_cues(&line, &placements),
        crossings,
        alternations,
        arm,
        fan,
        placements,
        tone,
        findings: found.told,
        silenced: found.silenced,
        notices,
        tempo,
        tempo_share: setup.tempo_share,
        end: score.end(),
        line,
        bowed,
    }
}

/// The bowed notes as the arm meets them.
fn arm_steps(bowed: &[Bowed], placements: &[Placement], solution: &Solution) -> Vec<ArmStep> {
    bowed
        .iter()
        .enumerate()
        .map(|(k, note)| {
            let sounds_until = |before: &Bowed| before.onset_s + before.sounding_s + SILENT_FROM_S;
            ArmStep {
                planes: placements
                    .get(note.note)
                    .map(|placement| placement.planes.clone())
                    .unwrap_or_default(),
                onset_s: note.onset_s,
                sounding_s: note.sounding_s,
                hair_mm: solution.start_mm[k],
                silence_before: k > 0 && sounds_until(&bowed[k - 1]) < note.onset_s,
                same_stroke: note.reached == Reached::SameStroke,
            }
        })
        .collect()
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

    /// Ratio of the planned to the wanted speed of a bowed note; 1 where the bow does not move along.
    pub fn speed_ratio(&self, bowed: usize) -> f64 {
        bowing::speed_ratio(&self.problem, &self.solution, bowed)
    }
}
