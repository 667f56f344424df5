//! The figures of a passage over its time: speed, sounding point, weight, and where the arm is.

use strum::{EnumIter, IntoEnumIterator as _, IntoStaticStr};

use super::Analysis;

/// What a curve tells.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, EnumIter, IntoStaticStr)]
#[strum(serialize_all = "kebab-case")]
pub enum Quantity {
    /// Speed of the bow, cm/s.
    Speed,
    /// Sounding point, mm from the bridge.
    SoundingPoint,
    /// Weight of arm and bow on all strings together, N.
    Weight,
    /// Elbow above the floor, cm.
    Elbow,
    /// Upper arm from hanging straight down, degrees.
    UpperArm,
}

/// What one line of a curve stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CurveRole {
    /// What the plan makes of it.
    Planned,
    /// What the dynamic and the stroke ask for by themselves.
    Wanted,
    /// The least that this player, or a good tone, allows.
    Least,
    /// The most.
    Most,
}

/// One line of a curve.
#[derive(Clone, Debug, PartialEq)]
pub struct CurveLine {
    /// What it stands for.
    pub role: CurveRole,
    /// Stretches without a gap, each as points (quarter notes from the start, value), in order of
    /// time. A value that jumps has two points at one moment.
    pub runs: Vec<Vec<(f64, f64)>>,
}

/// The course of one quantity over the whole score.
#[derive(Clone, Debug, PartialEq)]
pub struct Curve {
    /// What it tells.
    pub quantity: Quantity,
    /// Its lines; the planned one is first.
    pub lines: Vec<CurveLine>,
}

/// Longest time between two points of a curve of the arm, s. Assumed: far shorter than a movement of
/// the arm from string to string.
const ARM_STEP_S: f64 = 0.05;
/// Most points for one note, however long it lasts.
const MOST_STEPS: f64 = 64.0;
/// Two notes with less time between them follow on each other without a gap, s. Assumed.
const NO_GAP_S: f64 = 1e-3;

impl Quantity {
    /// Its stable name, in files.
    pub fn id(self) -> &'static str {
        self.into()
    }

    /// The quantity of this stable name.
    pub fn from_id(id: &str) -> Option<Self> {
        Self::iter().find(|quantity| quantity.id() == id)
    }

    /// Its name.
    pub fn words(self) -> &'static str {
        match self {
            Self::Speed => "bow speed",
            Self::SoundingPoint => "sounding point",
            Self::Weight => "weight",
            Self::Elbow => "elbow height",
            Self::UpperArm => "upper arm",
        }
    }

    /// Its unit, with what it is counted from.
    pub fn unit_words(self) -> &'static str {
        match self {
            Self::Speed => "cm/s",
            Self::SoundingPoint => "mm from the bridge",
            Self::Weight => "N on the strings",
            Self::Elbow => "cm above the floor",
            Self::UpperArm => "° from hanging down",
        }
    }

    /// Its unit alone.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Speed => " cm/s",
            Self::SoundingPoint => " mm",
            Self::Weight => " N",
            Self::Elbow => " cm",
            Self::UpperArm => "°",
        }
    }

    /// Decimals with which it is told.
    pub fn decimals(self) -> usize {
        match self {
            Self::Speed | Self::SoundingPoint | Self::Elbow | Self::UpperArm => 0,
            Self::Weight => 2,
        }
    }

    /// What a line of it is called.
    pub fn role_words(self, role: CurveRole) -> &'static str {
        match (self, role) {
            (Self::Elbow | Self::UpperArm, _) => "as planned",
            (_, CurveRole::Planned) => "planned",
            (Self::Speed, CurveRole::Wanted) => "wanted",
            (Self::SoundingPoint | Self::Weight, CurveRole::Wanted) => "usual for the dynamic",
            (Self::Speed, CurveRole::Least) => "slowest of this player",
            (Self::Speed, CurveRole::Most) => "fastest of this player",
            (Self::SoundingPoint | Self::Weight, CurveRole::Least) => "may lose its core below",
            (Self::SoundingPoint | Self::Weight, CurveRole::Most) => "pressed above",
        }
    }
}

impl CurveLine {
    /// The value at a moment, quarter notes from the start; none in a gap.
    pub fn at(&self, quarters: f64) -> Option<f64> {
        let after = self.runs.partition_point(|run| run.first().is_some_and(|first| first.0 <= quarters));
        let run = self.runs.get(after.checked_sub(1)?)?;
        let next = run.partition_point(|point| point.0 <= quarters);
        let before = run.get(next.checked_sub(1)?)?;
        let Some(next) = run.get(next) else { return (before.0 >= quarters).then_some(before.1) };
        Some(before.1 + (next.1 - before.1) * (quarters - before.0) / (next.0 - before.0))
    }
}

impl Curve {
    /// Least and greatest value of what is planned and wanted; none where nothing is bowed.
    pub fn range(&self) -> Option<(f64, f64)> {
        let lines =
            self.lines.iter().filter(|line| matches!(line.role, CurveRole::Planned | CurveRole::Wanted));
        let values = lines.flat_map(|line| line.runs.iter().flatten()).map(|point| point.1);
        values.fold(None, |range, value| {
            let (least, most) = range.unwrap_or((value, value));
            Some((least.min(value), most.max(value)))
        })
    }
}

impl Analysis {
    /// The course of a quantity over the whole score at the practice tempo. All values are finite.
    pub fn curve(&self, quantity: Quantity) -> Curve {
        let lines = match quantity {
            Quantity::Speed => self.steps(|k| {
                let piece = self.piece(k);
                let (least, most) = piece.lengths_mm();
                let per_cm_s = 10.0 * piece.seconds;
                let planned = (!self.plan.unplanned[k]).then(|| self.plan.used_mm(k));
                Values { planned, wanted: piece.wanted_travel_mm(), limits: Some((least, most)) }
                    .divided_by(per_cm_s)
            }),
            Quantity::SoundingPoint => self.steps(|k| {
                let tone = &self.tones.notes[k];
                let wanted = tone.point_mm * tone.usual.point / tone.planned.point;
                Values { planned: Some(tone.point_mm), wanted, limits: None }
            }),
            Quantity::Weight => self.steps(|k| {
                let tone = &self.tones.notes[k];
                let limits = Some((tone.limits.least_n, tone.limits.most_n));
                Values { planned: Some(tone.planned.weight_n), wanted: tone.usual.weight_n, limits }
            }),
            Quantity::Elbow => self.arm_course(|pose| pose.elbow_above_floor_mm / 10.0),
            Quantity::UpperArm => self.arm_course(|pose| pose.upper_arm_deg),
        };
        Curve { quantity, lines }
    }

    /// Lines of what stays the same for the whole of each note that sounds; `values` gives it for
    /// bowed note `k`.
    fn steps(&self, values: impl Fn(usize) -> Values) -> Vec<CurveLine> {
        let mut lines = [CurveRole::Planned, CurveRole::Wanted, CurveRole::Least, CurveRole::Most]
            .map(|role| CurveLine { role, runs: Vec::new() });
        let mut ended_s = f64::NEG_INFINITY;
        for (k, note) in self.bowing.notes.iter().enumerate().filter(|(_, note)| note.sounding_s > 0.0) {
            let span_s = (note.onset_s, note.onset_s + note.sounding_s);
            let span = (self.quarters_at(span_s.0), self.quarters_at(span_s.1));
            let follows = span_s.0 - ended_s < NO_GAP_S;
            for (line, value) in lines.iter_mut().zip(values(k).all()) {
                match value.filter(|value| value.is_finite()) {
                    Some(value) => line.go_on(follows, span, value),
                    // What comes next begins anew.
                    None => line.runs.push(Vec::new()),
                }
            }
            ended_s = span_s.1;
        }
        lines.into_iter().map(CurveLine::tidy).filter(|line| !line.runs.is_empty()).collect()
    }

    /// The course of the arm, from the first note to the last, through the air as well.
    fn arm_course(&self, value: impl Fn(&crate::arm::ArmPose) -> f64) -> Vec<CurveLine> {
        let mut run = Vec::new();
        let mut add = |seconds: f64| {
            let value = value(&self.arm_at(&self.bow_at(seconds)));
            if value.is_finite() {
                run.push((self.quarters_at(seconds), value));
            }
        };
        let mut last = None;
        for (k, note) in self.bowing.notes.iter().enumerate() {
            let ends_s = note.onset_s + note.sounding_s;
            let until_s = self.bowing.notes.get(k + 1).map_or(ends_s, |next| next.onset_s);
            let steps = ((until_s - note.onset_s) / ARM_STEP_S).ceil().clamp(1.0, MOST_STEPS);
            for step in 0..steps as u32 {
                add(note.onset_s + (until_s - note.onset_s) * f64::from(step) / steps);
            }
            last = Some(until_s);
        }
        last.into_iter().for_each(add);
        if run.is_empty() {
            Vec::new()
        } else {
            vec![CurveLine { role: CurveRole::Planned, runs: vec![run] }]
        }
    }
}

/// The values of one note; the limits are least and most.
struct Values {
    planned: Option<f64>,
    wanted: f64,
    limits: Option<(f64, f64)>,
}

impl Values {
    fn divided_by(self, by: f64) -> Self {
        Self {
            planned: self.planned.map(|value| value / by),
            wanted: self.wanted / by,
            limits: self.limits.map(|(least, most)| (least / by, most / by)),
        }
    }

    /// In the order of the lines.
    fn all(self) -> [Option<f64>; 4] {
        [
            self.planned,
            Some(self.wanted),
            self.limits.map(|limits| limits.0),
            self.limits.map(|limits| limits.1),
        ]
    }
}

impl CurveLine {
    /// One note more, in the run of the note before where it follows on that.
    fn go_on(&mut self, follows: bool, span: (f64, f64), value: f64) {
        let points = [(span.0, value), (span.1, value)];
        match self.runs.last_mut().filter(|_| follows) {
            Some(run) => run.extend(points),
            None => self.runs.push(points.to_vec()),
        }
    }

    fn tidy(mut self) -> Self {
        self.runs.retain(|run| !run.is_empty());
        self
    }
}

#[cfg(test)]
mod tests {
    use strum::IntoEnumIterator as _;

    use super::*;
    use crate::{analysis::analyse, lesson::demo::demo};

    fn line(curve: &Curve, role: CurveRole) -> &CurveLine {
        curve.lines.iter().find(|line| line.role == role).unwrap()
    }

    #[test]
    fn points_are_in_order_and_finite() {
        let analysis = analyse(&demo());
        for curve in Quantity::iter().map(|quantity| analysis.curve(quantity)) {
            assert_eq!(curve.lines[0].role, CurveRole::Planned, "{:?}", curve.quantity);
            for run in curve.lines.iter().flat_map(|line| &line.runs) {
                assert!(run.windows(2).all(|pair| pair[0].0 <= pair[1].0), "{:?}", curve.quantity);
                assert!(run.iter().all(|point| point.1.is_finite()), "{:?}", curve.quantity);
            }
        }
    }

    /// Speed by time is way: the area under the planned speed is the hair that all notes use.
    #[test]
    fn the_area_under_the_speed_is_the_hair_used() {
        let analysis = analyse(&demo());
        let curve = analysis.curve(Quantity::Speed);
        let runs = &line(&curve, CurveRole::Planned).runs;
        let seconds = |quarters: f64| analysis.seconds_at_f64(quarters);
        let area_mm: f64 = runs
            .iter()
            .flat_map(|run| run.windows(2))
            .map(|pair| 10.0 * (pair[0].1 + pair[1].1) / 2.0 * (seconds(pair[1].0) - seconds(pair[0].0)))
            .sum();
        let solution = &analysis.plan.solution;
        let used_mm: f64 =
            solution.start_mm.iter().zip(&solution.end_mm).map(|(start, end)| (end - start).abs()).sum();
        assert!(
            (area_mm - used_mm).abs() < 1e-6 * used_mm,
            "{area_mm} mm under the curve, {used_mm} mm used"
        );
    }

    /// A whole bow in so many seconds is the length of the hair divided by them.
    #[test]
    fn the_limits_of_the_speed_are_those_of_the_player() {
        let lesson = demo();
        let curve = analyse(&lesson).curve(Quantity::Speed);
        let hair_cm = lesson.setup.bow.hair_mm / 10.0;
        for (role, seconds) in [
            (CurveRole::Least, lesson.setup.player.slowest_whole_bow_s),
            (CurveRole::Most, lesson.setup.player.fastest_whole_bow_s),
        ] {
            for point in line(&curve, role).runs.iter().flatten() {
                assert!((point.1 - hair_cm / seconds).abs() < 1e-9, "{role:?}: {} cm/s", point.1);
            }
        }
    }

    #[test]
    fn the_arm_is_where_it_is_shown_at_that_moment() {
        let analysis = analyse(&demo());
        let curve = analysis.curve(Quantity::Elbow);
        for (at, cm) in line(&curve, CurveRole::Planned).runs[0].iter().step_by(7) {
            let pose = analysis.arm_at(&analysis.bow_at(analysis.seconds_at_f64(*at)));
            assert!((pose.elbow_above_floor_mm / 10.0 - cm).abs() < 0.05, "at quarter {at}");
        }
    }

    #[test]
    fn a_value_is_told_between_its_points_and_none_in_a_gap() {
        let line = CurveLine {
            role: CurveRole::Planned,
            runs: vec![vec![(0.0, 2.0), (1.0, 2.0), (1.0, 5.0), (2.0, 6.0)], vec![(3.0, 1.0), (4.0, 1.0)]],
        };
        let told = [0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 4.5].map(|at| line.at(at));
        let expected = [Some(2.0), Some(5.0), Some(5.5), Some(6.0), None, Some(1.0), Some(1.0), None];
        assert_eq!(told, expected);
        assert_eq!(line.at(-1.0), None);
    }
}
