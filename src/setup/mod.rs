//! What the music is played with and by whom: instrument, bow, player and school.
//!
//! Starting values come from the catalogue in `assets/catalogue.ron`, where each has its source
//! or the word "assumed". Everything in a [`Setup`] may be edited.

mod body;
mod catalogue;
mod growth;
mod hold;
mod leanings;
mod measures;
mod positions;
mod rules;

pub use body::{Body, Origin, Part, Posture, Proportions, STATURE_MM};
pub use catalogue::Catalogue;
pub use growth::{AGES, Chart, Lms, Sex, median_stature_mm};
pub use hold::{ArmSchool, BowHold, Hold};
pub use leanings::Leanings;
pub use measures::Measure;
pub use positions::Positions;
pub use rules::{MOST_REPEATS, RuleFigure, Rules};

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use crate::score::{Dynamic, Pitch, StrokeType};

/// The four instruments of the family.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[expect(missing_docs, reason = "the names are the meaning")]
pub enum Family {
    Violin,
    Viola,
    Cello,
    DoubleBass,
}

impl Family {
    /// All four, highest first.
    pub const ALL: [Self; 4] = [Self::Violin, Self::Viola, Self::Cello, Self::DoubleBass];

    /// The instrument's name in lower case.
    pub fn word(self) -> &'static str {
        match self {
            Self::Violin => "violin",
            Self::Viola => "viola",
            Self::Cello => "cello",
            Self::DoubleBass => "double bass",
        }
    }

    /// Held under the chin: the bow arm is highest on the lowest string. Cello and double bass face
    /// away from the player, so there it is highest on the highest string.
    pub fn on_shoulder(self) -> bool {
        matches!(self, Self::Violin | Self::Viola)
    }
}

/// Everything a plan depends on besides the notes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Setup {
    /// Instrument.
    pub instrument: Instrument,
    /// Bow.
    pub bow: Bow,
    /// Player.
    pub player: Player,
    /// Choices on which schools differ, and the figures the plan starts from.
    pub school: School,
    /// The player's body.
    #[serde(default)]
    pub body: Body,
    /// How the instrument is held; none: as is usual for it.
    #[serde(default)]
    pub hold: Option<Hold>,
    /// Instrument and bow change hands: everything is flipped left to right.
    #[serde(default)]
    pub left_handed: bool,
    /// Practice tempo as a share of the marked tempo (1 is the marked tempo).
    pub tempo_share: f64,
}

/// An instrument: its strings and its bridge.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Instrument {
    /// Which of the four.
    pub family: Family,
    /// Size or name shown to the user ("16 in", "full size").
    pub size: String,
    /// Strings, highest first: string number 1 is the first.
    pub strings: Vec<OpenString>,
    /// Vibrating length of a string, mm.
    pub string_length_mm: f64,
    /// Bridge.
    pub bridge: Bridge,
    /// Roll of the instrument, degrees: treble side lowered (violin and viola). For cello and
    /// double bass the turn that does the same to the bow planes.
    pub roll_deg: f64,
}

/// An open string.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct OpenString {
    /// Name shown ("C").
    pub name: String,
    /// Pitch of the open string.
    pub pitch: Pitch,
    /// Wave impedance, kg/s; where none is given that of the catalogue's string counts
    /// ([`Instrument::impedance_kg_per_s`]).
    #[serde(default)]
    pub impedance_kg_per_s: Option<f64>,
}

/// The bridge as the bow meets it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bridge {
    /// Radius of the top curve, mm.
    pub radius_mm: f64,
    /// Distance from outer string to outer string, mm.
    pub spread_mm: f64,
    /// Height of the lowest string over the end of the fingerboard, mm.
    pub low_height_mm: f64,
    /// Height of the highest string over the end of the fingerboard, mm.
    pub high_height_mm: f64,
    /// Angle from the bridge at which the bow touches the edge of the waist, degrees.
    pub waist_limit_deg: f64,
}

/// A bow.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Bow {
    /// Name shown.
    pub name: String,
    /// Playable hair from frog to head, mm.
    pub hair_mm: f64,
    /// Balance point from the frog end of the hair, mm.
    pub balance_mm: f64,
    /// Mass, g.
    #[serde(default = "sixty_grams")]
    pub mass_g: f64,
}

/// Mass of a violin bow, for lessons saved before the mass was kept.
fn sixty_grams() -> f64 {
    60.0
}

impl Instrument {
    /// Wave impedance of a string (0 the highest), kg/s: its own, or that of the catalogue's string
    /// nearest in pitch on an instrument of the same family. Never zero.
    pub fn impedance_kg_per_s(&self, string: usize) -> f64 {
        let Some(string) = self.strings.get(string) else { return USUAL_IMPEDANCE };
        string.impedance_kg_per_s.unwrap_or_else(|| {
            let midi = string.pitch.midi();
            let known = Catalogue::builtin().instruments.iter().filter(|known| known.family == self.family);
            known
                .flat_map(|instrument| &instrument.strings)
                .filter_map(|known| Some(((known.pitch.midi() - midi).abs(), known.impedance_kg_per_s?)))
                .min_by(|a, b| a.0.total_cmp(&b.0))
                .map_or(USUAL_IMPEDANCE, |(_, impedance)| impedance)
        })
    }
}

/// Impedance of a steel violin D string, kg/s (Schoonderwaldt, Guettler and Askenfelt 2008).
const USUAL_IMPEDANCE: f64 = 0.25;

/// Value at a level between two marks, interpolated in the logarithm.
fn between_marks(values: &[f64; 8], level: f64) -> f64 {
    let level = level.clamp(0.0, (Dynamic::ALL.len() - 1) as f64);
    let below = level.floor() as usize;
    let above = (below + 1).min(Dynamic::ALL.len() - 1);
    let share = level - below as f64;
    (values[below].ln() * (1.0 - share) + values[above].ln() * share).exp()
}

/// A player's own figures.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct Player {
    /// Name shown; any label the teacher likes.
    pub name: String,
    /// Slowest whole bow under control, s.
    pub slowest_whole_bow_s: f64,
    /// Fastest whole bow under control, s.
    pub fastest_whole_bow_s: f64,
    /// Hair not used next to the frog, mm.
    pub frog_margin_mm: f64,
    /// Hair not used next to the tip, mm.
    pub tip_margin_mm: f64,
    /// The player's own tip: farthest hair the arm reaches without strain, mm from the frog.
    #[serde(default)]
    pub tip_mark_mm: Option<f64>,
    /// The plan goes no farther toward the tip than the arm reaches on every level.
    #[serde(default)]
    pub tip_from_reach: bool,
    /// Highest left-hand position used, as half steps above the open string that the hand reaches
    /// with its last finger.
    pub reach_half_steps: u8,
    /// Positions of the left hand that are used.
    #[serde(default)]
    pub positions: Positions,
    /// Where this player's bow lives when nothing else speaks, as shares of the hair, frog 0 to
    /// tip 1; without one the middle. Schools differ on where a beginner starts.
    #[serde(default)]
    pub home: Option<(f64, f64)>,
}

/// How double stops are weighted; teachers differ.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
pub enum WeightForTwo {
    /// The arm gives the weight of one note, and the two strings share it.
    #[default]
    SharedArm,
    /// Each string gets the weight of one note: the arm gives about double.
    SamePerString,
}

/// When the arm starts for the next string where the bow does not stop; schools differ (common
/// practice).
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, Serialize, Deserialize)]
pub enum Approach {
    /// It nears the next string before the change.
    #[default]
    Gradual,
    /// It holds its level until the change.
    AtTheChange,
}

/// Choices and starting figures of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct School {
    /// Wanted bow speed for ppp, pp, p, mp, mf, f, ff, fff, mm/s.
    pub speed_mm_per_s: [f64; 8],
    /// What each stroke type does to the hair and where it lives.
    pub strokes: Vec<StrokeHabit>,
    /// Speed at which the lifted bow is moved through the air, mm/s.
    pub air_speed_mm_per_s: f64,
    /// Time a lift takes besides moving, s.
    pub set_time_s: f64,
    /// Time taken from the end of the note before a retake that has no rest, s.
    pub retake_time_s: f64,
    /// A plan that leaves the wanted speed by more than this ratio (or its inverse) is tight.
    pub tight_ratio: f64,
    /// A corridor narrower than this is tight, mm.
    pub tight_width_mm: f64,
    /// Weight of keeping the wanted speed.
    pub speed_weight: f64,
    /// Weight of being near the preferred place.
    pub place_weight: f64,
    /// Weight of even speed inside a stroke.
    pub even_in_stroke: f64,
    /// Weight of even speed across a bow change without accent.
    pub even_across_turn: f64,
    /// Weight against moving the lifted bow without cause.
    pub lift_weight: f64,
    /// Extra hair for an accented note, as a share of its wanted hair.
    pub accent_extra: f64,
    /// Hair for a grace note, as seconds at the speed in force.
    pub grace_s: f64,
    /// Below the marked tempo every note keeps the hair it has at the marked tempo, so that what is
    /// practised slowly is the same movement; otherwise the wanted speed is kept.
    #[serde(default = "yes")]
    pub slow_keeps_hair: bool,
    /// How double stops are weighted.
    #[serde(default)]
    pub weight_for_two: WeightForTwo,
    /// Usual sounding point for ppp to fff: distance from the bridge as a share of the sounding
    /// length.
    #[serde(default = "usual_points")]
    pub sounding_point: [f64; 8],
    /// Usual weight of the bow on a string of 0.25 kg/s (a violin's D string) for ppp to fff, N.
    #[serde(default = "usual_weights")]
    pub weight_n: [f64; 8],
    /// What speaks for a down-bow or an up-bow where the notation leaves it open.
    #[serde(default)]
    pub leanings: Leanings,
    /// Rules of thumb by which a bowing is judged.
    #[serde(default)]
    pub rules: Rules,
    /// How the arm is shaped.
    #[serde(default)]
    pub arm: ArmSchool,
    /// When the arm starts for the next string in a legato bow.
    #[serde(default)]
    pub approach: Approach,
}

fn yes() -> bool {
    true
}

fn usual_points() -> [f64; 8] {
    Catalogue::builtin().school.sounding_point
}

fn usual_weights() -> [f64; 8] {
    Catalogue::builtin().school.weight_n
}

/// What a stroke type does.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
pub struct StrokeHabit {
    /// The stroke.
    pub stroke: StrokeType,
    /// Sounding part of the written length during which the bow moves, 0 to 1.
    pub sounding: f64,
    /// Factor on the wanted speed.
    pub speed: f64,
    /// The bow travels (false: it returns to where it was).
    pub travels: bool,
    /// Home region as shares of the hair, frog 0 to tip 1, where it has one.
    #[serde(default)]
    pub home: Option<(f64, f64)>,
}

impl Setup {
    /// The setup the catalogue suggests for an instrument, with a trained player.
    pub fn for_family(family: Family) -> Self {
        Catalogue::builtin().setup(family)
    }

    /// How the instrument is held.
    pub fn held(&self) -> Hold {
        self.hold.clone().unwrap_or_else(|| Hold::usual(self.instrument.family))
    }

    /// Hair this player uses, mm from the frog: (from, to). Never empty: where the figures
    /// contradict each other the whole hair is used.
    pub fn usable_mm(&self) -> (f64, f64) {
        self.usable_up_to_mm(self.player.tip_mark_mm)
    }

    /// [`Self::usable_mm`] with another tip mark.
    pub fn usable_up_to_mm(&self, tip_mark_mm: Option<f64>) -> (f64, f64) {
        let hair = self.bow.hair_mm;
        let lo = self.player.frog_margin_mm.clamp(0.0, hair);
        let tip = tip_mark_mm.unwrap_or(hair).min(hair - self.player.tip_margin_mm);
        if tip - lo > 1.0 { (lo, tip) } else { (0.0, hair) }
    }

    /// Slowest speed under control, mm/s.
    pub fn slowest_mm_per_s(&self) -> f64 {
        self.bow.hair_mm / self.player.slowest_whole_bow_s
    }

    /// Fastest speed under control, mm/s.
    pub fn fastest_mm_per_s(&self) -> f64 {
        self.bow.hair_mm / self.player.fastest_whole_bow_s
    }

    /// Wanted bow speed for a level on the scale of [`Dynamic`] (0 ppp to 7 fff), mm/s; between
    /// two marks interpolated in the logarithm of the speed.
    pub fn speed_mm_per_s(&self, level: f64) -> f64 {
        between_marks(&self.school.speed_mm_per_s, level)
    }

    /// Usual sounding point for a level (0 ppp to 7 fff), as a share of the sounding length; between
    /// two marks interpolated in its logarithm.
    pub fn sounding_point(&self, level: f64) -> f64 {
        between_marks(&self.school.sounding_point, level)
    }

    /// Usual weight of the bow for a level (0 ppp to 7 fff) on a string of 0.25 kg/s, N; between two
    /// marks interpolated in its logarithm.
    pub fn weight_n(&self, level: f64) -> f64 {
        between_marks(&self.school.weight_n, level)
    }

    /// The habit of a stroke type.
    pub fn habit(&self, stroke: StrokeType) -> StrokeHabit {
        self.school.strokes.iter().find(|habit| habit.stroke == stroke).cloned().unwrap_or(StrokeHabit {
            stroke,
            sounding: 1.0,
            speed: 1.0,
            travels: true,
            home: None,
        })
    }

    /// What is wrong with the figures, one sentence each; empty when a plan can be made.
    pub fn problems(&self) -> Vec<String> {
        let mut problems = Vec::new();
        for (name, unit, value, lo, hi) in self.ranges() {
            if !(value >= lo && value <= hi) {
                problems.push(format!("{name} is {value} {unit}; it must lie between {lo} and {hi} {unit}"));
            }
        }
        if self.player.fastest_whole_bow_s >= self.player.slowest_whole_bow_s {
            problems.push("the fastest whole bow must take less time than the slowest".to_owned());
        }
        if !(2..=6).contains(&self.instrument.strings.len()) {
            problems.push("an instrument must have 2 to 6 strings".to_owned());
        }
        problems
    }

    /// Name, unit, value and allowed range of every figure a person may type.
    fn ranges(&self) -> Vec<(Cow<'static, str>, &'static str, f64, f64, f64)> {
        let Self { instrument, bow, player, school, tempo_share, .. } = self;
        let bridge = &instrument.bridge;
        let mut ranges = vec![
            ("practice tempo", "of the marked tempo", *tempo_share, 0.02, 10.0),
            ("hair", "mm", bow.hair_mm, 100.0, 900.0),
            ("balance point", "mm", bow.balance_mm, 0.0, bow.hair_mm),
            ("slowest whole bow", "s", player.slowest_whole_bow_s, 0.5, 120.0),
            ("fastest whole bow", "s", player.fastest_whole_bow_s, 0.1, 10.0),
            ("margin at the frog", "mm", player.frog_margin_mm, 0.0, bow.hair_mm / 2.0),
            ("margin at the tip", "mm", player.tip_margin_mm, 0.0, bow.hair_mm / 2.0),
            ("own tip mark", "mm", player.tip_mark_mm.unwrap_or(bow.hair_mm), 50.0, bow.hair_mm),
            ("bridge radius", "mm", bridge.radius_mm, 10.0, 500.0),
            ("string spread", "mm", bridge.spread_mm, 5.0, 1.9 * bridge.radius_mm),
            ("string length", "mm", instrument.string_length_mm, 100.0, 1500.0),
            ("speed through the air", "mm/s", school.air_speed_mm_per_s, 10.0, 10_000.0),
            ("time to set the bow", "s", school.set_time_s, 0.0, 5.0),
            ("time for a retake", "s", school.retake_time_s, 0.0, 5.0),
            ("tight ratio", "", school.tight_ratio, 1.01, 100.0),
            ("width of a narrow place", "mm", school.tight_width_mm, 0.0, 1000.0),
            ("weight of the wanted speed", "", school.speed_weight, 0.0, 1000.0),
            ("weight of the preferred place", "", school.place_weight, 0.0, 1000.0),
            ("weight of evenness in a stroke", "", school.even_in_stroke, 0.0, 1000.0),
            ("weight of evenness across a bow change", "", school.even_across_turn, 0.0, 1000.0),
            ("weight against moving in a lift", "", school.lift_weight, 0.0, 1000.0),
            ("extra bow of an accent", "of the note's bow", school.accent_extra, 0.0, 10.0),
            ("time of a grace note", "s", school.grace_s, 0.0, 5.0),
            ("mass of the bow", "g", bow.mass_g, 10.0, 500.0),
            ("height", "mm", self.body.stature_mm, STATURE_MM.0, STATURE_MM.1),
            ("open elbow", "degrees", school.arm.open_elbow_deg, 0.0, 60.0),
            ("elbow levels", "", school.arm.elbow_levels, -4.0, 4.0),
            ("tip lift", "levels", school.arm.tip_lift_levels, -4.0, 4.0),
        ];
        let measured = Part::ALL.into_iter().zip(self.body.measured_mm);
        ranges.extend(measured.filter_map(|(part, mm)| {
            let (lo, hi) = part.range_mm();
            mm.map(|mm| (part.words(), "mm", mm, lo, hi))
        }));
        ranges.extend(school.speed_mm_per_s.map(|speed| ("wanted speed", "mm/s", speed, 1.0, 3000.0)));
        ranges.extend(school.rules.ranges());
        let costs = school.leanings.figures();
        ranges.extend(costs.map(|(name, cost)| (name, "of a strong beat", cost, 0.0, 100.0)));
        ranges
            .extend(school.sounding_point.map(|point| ("sounding point", "of the string", point, 0.01, 0.5)));
        ranges.extend(school.weight_n.map(|weight| ("weight of the bow", "N", weight, 0.01, 20.0)));
        let impedances = instrument.strings.iter().filter_map(|string| string.impedance_kg_per_s);
        ranges.extend(impedances.map(|z| ("wave impedance of a string", "kg/s", z, 0.01, 20.0)));
        for share in player.home.into_iter().flat_map(|(from, to)| [from, to]) {
            ranges.push(("end of the home region", "of the hair", share, 0.0, 1.0));
        }
        let mut ranges: Vec<_> = ranges
            .into_iter()
            .map(|(name, unit, value, lo, hi)| (Cow::from(name), unit, value, lo, hi))
            .collect();
        for habit in &school.strokes {
            let mut figure = |name: &str, unit, value, lo, hi| {
                ranges.push((format!("{name} of {}", habit.stroke.word()).into(), unit, value, lo, hi));
            };
            figure("sounding part", "of the written length", habit.sounding, 0.0, 1.0);
            figure("speed", "times the wanted speed", habit.speed, 0.01, 100.0);
            for share in habit.home.into_iter().flat_map(|(from, to)| [from, to]) {
                figure("end of the home region", "of the hair", share, 0.0, 1.0);
            }
        }
        ranges
    }
}
