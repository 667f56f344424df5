//! From a lesson to all that is known about it.

use crate::{
    arm::{
        self, Alternation, Arm, ArmPose, ArmStep, Care, Crossing, FingerCue, LevelFan, Moment, NEARING_PART,
        Placement, Plane, RAISED_DEG, Spells, place, places_alike,
    },
    bowing::{
        self, Bowed, Evidence, Finding, MarkedPath, Problem, Reached, Solution, Stroke, findings, marked_path,
    },
    lesson::Lesson,
    score::{Attack, Direction, Dynamics, Quarters, Score, TempoMap, attacks, bow_line, sentence_case},
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

/// A gap this long between two sounds is a silence in which the arm can cross, s. Assumed.
const SILENT_FROM_S: f64 = 0.02;
/// Part of the time on the lower strings of a broken chord after which the arm turns on. Assumed.
const BREAK_TURN: f64 = 0.5;
/// Moments at which the curve of the levels is taken while the arm moves.
const CURVE_POINTS: usize = 8;
/// Steps in which a note is looked at for what it asks of the arm, s. Assumed: about as long as the arm
/// takes from one string to the next.
const CARE_STEP_S: f64 = 0.25;

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
        tempo: score.tempo_map(),
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
        let (plane, level_deg) = self.level_at(k, seconds);
        let speed = if sounds && note.sounding_s > 0.0 { (end - start).abs() / note.sounding_s } else { 0.0 };
        BowState {
            note: (k < last || sounds || after == 0).then_some(note.note),
            stroke: Some(self.stroke_of_bowed[k]),
            hair_mm,
            on_string,
            direction: sounds.then_some(note.direction),
            speed_mm_per_s: speed,
            plane,
            level_deg,
        }
    }

    /// What the passage asks of the arm, at the practice tempo. Every note is taken in steps of about
    /// [`CARE_STEP_S`], in which all goes evenly.
    pub fn care(&self) -> Care {
        let farthest: Vec<(f64, f64)> = (self.fan.all())
            .map(|level| (level.angle_deg, self.arm.farthest_mm(level.angle_deg).max(1.0)))
            .collect();
        // The reach changes little from level to level: that of the nearest one will do.
        let reach = |level_deg: f64, hair_mm: f64| {
            let off = |level: &&(f64, f64)| (level.0 - level_deg).abs();
            let level = farthest.iter().min_by(|a, b| off(a).total_cmp(&off(b)));
            level.map_or(0.0, |level| hair_mm / level.1)
        };
        let at = &|k: usize, share: f64| {
            let note = &self.bowed[k];
            let (start, end) = (self.solution.start_mm[k], self.solution.end_mm[k]);
            let hair_mm = start + (end - start) * share;
            let level_deg = self.level_at(k, note.onset_s + note.sounding_s * share).1;
            (self.arm.pose(level_deg, hair_mm).upper_arm_deg, reach(level_deg, hair_mm))
        };
        arm::care(self.bowed.iter().enumerate().flat_map(|(k, note)| {
            let steps = (note.sounding_s / CARE_STEP_S).ceil().clamp(1.0, 100.0);
            let mut last = at(k, 0.0);
            (1..=steps as u32).map(move |step| {
                let (from, to) = (f64::from(step - 1) / steps, f64::from(step) / steps);
                let first = std::mem::replace(&mut last, at(k, to));
                Moment {
                    from_s: note.onset_s + note.sounding_s * from,
                    to_s: note.onset_s + note.sounding_s * to,
                    upper_arm_deg: (first.0, last.0),
                    reach: (first.1, last.1),
                }
            })
        }))
    }

    /// A prompt to vary and rest where the passage keeps the arm high or far out for long: a line, and
    /// what to know about it. None where there is nothing to say.
    pub fn care_words(&self, score: &Score) -> Option<(String, String)> {
        let care = self.care();
        let bar = |seconds: f64| {
            let bar = score.bar_at(Quarters::from_f64(self.quarters_at(seconds))).map(|bar| &score.bars[bar]);
            bar.map_or_else(String::new, |bar| bar.number.clone())
        };
        let long = |seconds: f64| match seconds {
            short if short < 99.5 => format!("{short:.0} s"),
            long => format!("{:.1} min", long / 60.0),
        };
        let spell = |what: &str, spells: Spells| {
            let (first, last) = (bar(spells.longest.0), bar(spells.longest.1));
            let bars = if first == last { format!("bar {first}") } else { format!("bars {first} to {last}") };
            format!("{what} for {} on end in {bars}", long(spells.longest_s()))
        };
        let raised = format!("upper arm above {RAISED_DEG:.0}°");
        let mut parts = Vec::new();
        if care.is_raised_long() {
            parts.push(spell(&raised, care.raised));
        }
        if care.is_far_long() {
            parts.push(spell("bow far out", care.far));
        }
        if parts.is_empty() {
            return None;
        }
        let line = sentence_case(&format!("{}: vary and rest", parts.join("; ")));
        let more = format!(
            "In all, {raised} for {} and bow far out for {} of {} of playing at this tempo, by the model of the \
             arm. Let the arm hang in the rests, practise such bars in short turns, and change to other strings \
             and to the middle of the bow in between. The border of {RAISED_DEG:.0}° comes from general limits \
             for adults at work who hold still (ISO 11226, from memory), not from music and not for children; \
             it is no diagnosis. Stop when it hurts, take breaks, let a teacher look, and see a professional if \
             it lasts.",
            long(care.raised.total_s),
            long(care.far.total_s),
            long(care.playing_s)
        );
        Some((line, more))
    }

    /// The crossing into a bowed note, if the level changes there.
    pub fn crossing_into(&self, bowed: usize) -> Option<&Crossing> {
        let index = self.crossings.binary_search_by_key(&bowed, |crossing| crossing.into).ok()?;
        self.crossings.get(index)
    }

    /// Bow plane and angle during a bowed note (until the next one starts). The angle moves smoothly:
    /// within a broken chord, while the arm nears the next string, and while it crosses.
    fn level_at(&self, k: usize, seconds: f64) -> (Plane, f64) {
        let note = &self.bowed[k];
        let planes = self.placements.get(note.note).map_or(&[][..], |placement| &placement.planes);
        let Some((mut plane, rest)) = planes.split_first() else {
            return (Plane::String(1), self.fan.level(Plane::String(1)).angle_deg);
        };
        let mut level_deg = self.fan.level(*plane).angle_deg;
        let mut from = note.onset_s;
        for (next, lasts) in rest.iter().zip(arm::chord_seconds(note.sounding_s, planes.len())) {
            let turn = from + lasts * BREAK_TURN;
            let target = self.fan.level(*next).angle_deg;
            level_deg += (target - level_deg) * smooth(seconds, turn, from + lasts);
            from += lasts;
            if seconds < from {
                break;
            }
            plane = next;
        }
        if let Some(crossing) = self.crossing_into(k + 1)
            && seconds > crossing.starts_s
        {
            let level = self.fan.level(crossing.from);
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
        let note = &self.bowed[k];
        let until = self.bowed.get(k + 1).map_or(note.onset_s + note.sounding_s, |next| next.onset_s);
        let mut moments = vec![note.onset_s];
        let mut spread = |from: f64, to: f64| {
            moments.extend((0..=CURVE_POINTS).map(|i| from + (to - from) * i as f64 / CURVE_POINTS as f64));
        };
        let planes = self.placements.get(note.note).map_or(1, |placement| placement.planes.len());
        let mut from = note.onset_s;
        for lasts in arm::chord_seconds(note.sounding_s, planes).into_iter().take(planes.saturating_sub(1)) {
            spread(from + lasts * BREAK_TURN, from + lasts);
            from += lasts;
        }
        if let Some(crossing) = self.crossing_into(k + 1) {
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
