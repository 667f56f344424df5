//! `plan`: the plan and the problem it solves.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    analysis::Study,
    bowing::{End, Impossible, Join, Pin, Reasons, RunOut, Why},
    score::{Attack, mixed_number},
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    input::{Source, study},
    json::Each,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub form: FormArgs,
}

/// The plan of a part.
pub(super) struct Planned(Study);

/// The problem and the answer, enough for a general solver. Lengths are mm from the frog, times s.
#[derive(Serialize, JsonSchema)]
pub(super) struct Json<'a> {
    /// Title of the piece
    title: String,
    /// Name of the part
    part: String,
    /// Length of the hair, mm; places are counted from the frog
    hair_mm: f64,
    /// The part of the hair that is used: from, to, mm
    usable_mm: [f64; 2],
    /// What the plan weighs beside speeds and places
    weights: WeightsJson,
    /// Places that are fixed
    pins: Vec<PinJson>,
    /// Every bowed note in the order of the music
    #[schemars(with = "Vec<NoteJson>")]
    notes: Each<'a, NoteJson>,
    /// Notes that no bowing of this length reaches
    impossible: Vec<ImpossibleJson>,
    /// What the plan costs in all
    cost: f64,
}

#[derive(Serialize, JsonSchema)]
struct WeightsJson {
    /// Weight of even speed inside a stroke
    even_in_stroke: f64,
    /// Weight of even speed across a smooth bow change
    even_across_turn: f64,
    /// Weight of a way through the air
    lift: f64,
}

#[derive(Serialize, JsonSchema)]
struct PinJson {
    /// The note, counted from 0 in notes
    note: usize,
    /// Which end of it is fixed: start or end
    at: &'static str,
    /// From here, mm
    from_mm: f64,
    /// To here, mm
    to_mm: f64,
}

#[derive(Serialize, JsonSchema)]
struct NoteJson {
    /// Printed number of its bar, with its movement if any
    bar: String,
    /// Quarter notes from the start of the piece, as 5/2
    onset: String,
    /// Pitches as MIDI numbers, lowest first
    midi: Vec<f64>,
    /// Hair it wants, mm
    wanted_mm: f64,
    /// Least hair this player can take for it, mm
    min_mm: f64,
    /// Most hair this player can take for it, mm
    max_mm: f64,
    /// down or up
    direction: &'static str,
    /// How long it sounds, s
    seconds: f64,
    /// The bow moves; where not, the note ends where it starts
    travels: bool,
    /// Where its middle would best lie, mm
    place_mm: f64,
    /// Weight of that place
    place_weight: f64,
    /// Weight of its speed
    speed_weight: f64,
    /// How it is reached, such as: bow change
    join: &'static str,
    /// How far the bow can go in the air before it, mm; for a lift
    reach_mm: Option<f64>,
    /// The stroke it is in, counted from 0
    stroke: usize,
    /// Type of stroke
    stroke_type: &'static str,
    /// Where it starts, mm
    start_mm: f64,
    /// Where it ends, mm
    end_mm: f64,
    /// From where to where it may start, mm
    corridor_start_mm: [f64; 2],
    /// From where to where it may end, mm
    corridor_end_mm: [f64; 2],
    /// Its start on the way into a run-out, else as planned, mm
    marked_start_mm: f64,
    /// Its end on the way into a run-out, else as planned, mm
    marked_end_mm: f64,
    /// Why it lies there, in a sentence
    why: String,
    /// What it costs in the plan by its speed
    speed_cost: f64,
    /// ... by its place
    place_cost: f64,
    /// ... by its evenness with the note before it
    evenness_cost: f64,
    /// ... by the lift before it
    lift_cost: f64,
}

#[derive(Serialize, JsonSchema)]
struct ImpossibleJson {
    /// The note, counted from 0 in notes
    note: usize,
    /// The note from which it goes on
    resumes: usize,
    /// Hair that is missing, mm
    short_mm: f64,
    /// Time that is missing, s
    short_seconds: f64,
}

impl Planned {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        Ok(Self(study(&args.source)?))
    }

    /// Where the bow goes without looking ahead: into the run-outs that are told, elsewhere as planned. At
    /// a note that is on the way into two the first counts.
    fn marked_mm(&self) -> Vec<(f64, f64)> {
        let analysis = self.0.analysis();
        let mut places: Vec<(f64, f64)> =
            (0..analysis.bowing.notes.len()).map(|k| analysis.plan.places_mm(k)).collect();
        let run_outs: Vec<&RunOut> = analysis.run_outs_told().collect();
        for run_out in run_outs.into_iter().rev() {
            for (place, way) in places[run_out.since..].iter_mut().zip(&run_out.path) {
                *place = *way;
            }
        }
        places
    }

    fn note(
        &self,
        k: usize,
        (marked_start_mm, marked_end_mm): (f64, f64),
        sections: &[usize],
        reasons: &Reasons,
    ) -> NoteJson {
        let (lesson, analysis) = (self.0.lesson(), self.0.analysis());
        let (note, bowed, piece) =
            (analysis.note(k), &analysis.bowing.notes[k], &analysis.plan.problem.pieces[k]);
        let solution = &analysis.plan.solution;
        let (join, reach_mm) = match piece.join {
            Join::Start => ("start", None),
            Join::Same => ("same stroke", None),
            Join::Turn { smooth: true } => ("bow change", None),
            Join::Turn { smooth: false } => ("bow change with accent", None),
            Join::Lift { reach_mm } if analysis.is_brought(k) => ("brought in a tremolo", Some(reach_mm)),
            Join::Lift { reach_mm } => ("lift", Some(reach_mm)),
        };
        let Why { words: why, cost: [speed_cost, place_cost, evenness_cost, lift_cost], .. } = reasons.why(k);
        NoteJson {
            bar: lesson.score.bar_name(note.bar, sections).to_string(),
            onset: note.onset.to_string(),
            midi: note.midi(),
            wanted_mm: piece.wanted_mm,
            min_mm: piece.min_mm,
            max_mm: piece.max_mm,
            direction: piece.direction.word(),
            seconds: piece.seconds,
            travels: piece.travels,
            place_mm: piece.place_mm,
            place_weight: piece.place_weight,
            speed_weight: piece.speed_weight,
            join,
            reach_mm,
            stroke: analysis.stroke_of(k),
            stroke_type: bowed.stroke_type.word(),
            start_mm: solution.start_mm[k],
            end_mm: solution.end_mm[k],
            corridor_start_mm: solution.corridor_start[k].into(),
            corridor_end_mm: solution.corridor_finish[k].into(),
            marked_start_mm,
            marked_end_mm,
            why,
            speed_cost,
            place_cost,
            evenness_cost,
            lift_cost,
        }
    }
}

impl Answer for Planned {
    type Json<'a> = Json<'a>;

    fn json(&self) -> Json<'_> {
        let (score, plan) = (&self.0.lesson().score, &self.0.analysis().plan);
        let (problem, solution) = (&plan.problem, &plan.solution);
        let sections = score.bar_sections();
        let analysis = self.0.analysis();
        let reasons = Reasons::new(self.0.lesson(), &analysis.line, &analysis.bowing, plan);
        let marked_mm = self.marked_mm();
        Json {
            title: score.title.clone(),
            part: score.part.clone(),
            hair_mm: problem.hair_mm,
            usable_mm: problem.usable.into(),
            weights: WeightsJson {
                even_in_stroke: problem.weights.even_in_stroke,
                even_across_turn: problem.weights.even_across_turn,
                lift: problem.weights.lift,
            },
            pins: problem.pins.iter().map(PinJson::from).collect(),
            notes: Each::new(problem.pieces.len(), move |k| self.note(k, marked_mm[k], &sections, &reasons)),
            impossible: solution.impossible.iter().map(ImpossibleJson::from).collect(),
            cost: solution.cost,
        }
    }

    fn text(&self) -> String {
        let (lesson, analysis) = (self.0.lesson(), self.0.analysis());
        let mut out = String::new();
        let sections = lesson.score.bar_sections();
        let bar = |note: &Attack| lesson.score.bar_name(note.bar, &sections).to_string();
        let width = analysis.line.notes.iter().map(|note| bar(note).chars().count()).fold(5, usize::max);
        let _ = writeln!(
            out,
            "{:>width$} {:>8}  {:<4} {:<16} {:>8} {:>8} {:>8} {:>6}  {:<13} notes",
            "bar", "beat", "bow", "stroke", "from cm", "to cm", "seconds", "ratio", "corridor cm"
        );
        for (k, bowed) in analysis.bowing.notes.iter().enumerate() {
            let note = &analysis.line.notes[bowed.note];
            let beat = match lesson.score.beat_at(note.onset) {
                Some((bar, beat)) if bar == note.bar => mixed_number(beat),
                // A grace note that closes its bar.
                Some(_) => "end".to_owned(),
                None => String::new(),
            };
            let names: Vec<String> = note.notes.iter().map(|note| note.pitch.name()).collect();
            let (lo, hi) = analysis.plan.solution.corridor_start[k];
            let _ = writeln!(
                out,
                "{:>width$} {:>8}  {:<4} {:<16} {:>8.1} {:>8.1} {:>8.2} {:>6.2}  {:<13} {}",
                bar(note),
                beat,
                bowed.direction.word(),
                bowed.stroke_type.word(),
                analysis.plan.solution.start_mm[k] / 10.0,
                analysis.plan.solution.end_mm[k] / 10.0,
                bowed.sounding_s,
                analysis.speed_ratio(k),
                format!("{:.0} to {:.0}", lo / 10.0, hi / 10.0),
                names.join("+")
            );
        }
        let _ = writeln!(out, "cost {:.6}", analysis.plan.solution.cost);
        out
    }
}

impl From<&Pin> for PinJson {
    fn from(pin: &Pin) -> Self {
        let at = match pin.at {
            End::Start => "start",
            End::Finish => "end",
        };
        Self { note: pin.piece, at, from_mm: pin.lo_mm, to_mm: pin.hi_mm }
    }
}

impl From<&Impossible> for ImpossibleJson {
    fn from(spot: &Impossible) -> Self {
        Self {
            note: spot.piece,
            resumes: spot.resumes,
            short_mm: spot.short_mm,
            short_seconds: spot.short_seconds,
        }
    }
}
