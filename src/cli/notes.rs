//! `notes`: what was read.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;
use serde_json::Number;

use crate::{
    arm::{Placement, Position, place},
    lesson::Lesson,
    score::{Attack, Direction, Dynamic, Dynamics, attacks},
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    input::{Source, load, print_report},
    json::{Each, rounded},
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub form: FormArgs,
}

/// The notes of a part and where they lie on the strings.
pub(super) struct Notes {
    lesson: Lesson,
    events: Vec<Attack>,
    placements: Vec<Placement>,
    /// The bar of each of them, by its name.
    bars: Vec<String>,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct Json<'a> {
    /// Title of the piece
    title: String,
    /// Name of the part
    part: String,
    /// violin, viola, cello or double-bass
    instrument: &'static str,
    /// How many bars there are
    bars: usize,
    /// Every note or chord in the order of the music, ties joined
    #[schemars(with = "Vec<EventJson>")]
    events: Each<'a, EventJson>,
}

#[derive(Serialize, JsonSchema)]
struct EventJson {
    /// Quarter notes from the start of the piece, as 5/2
    onset: String,
    /// How many quarter notes it lasts, as 5/2; 0: a grace note
    duration: String,
    /// Seconds from the start, at the tempo of practice
    seconds: f64,
    /// How long it lasts, s
    duration_seconds: f64,
    /// MIDI numbers, lowest first: 69 is A4, 69.5 a quarter tone up
    midi: Vec<Number>,
    /// Printed number of its bar, with its movement if any
    bar: String,
    /// Voice of the staff, from 0
    voice: u8,
    /// Printed bow mark: down or up
    bow: Option<&'static str>,
    /// Number of the slur it is under
    slur: Option<u32>,
    /// Dynamic mark in force: p, mf
    dynamic: Option<&'static str>,
    /// It is a grace note
    grace: bool,
    /// The string of each pitch, counted from 1, the highest
    strings: Vec<u8>,
    /// The finger of each pitch: 0 open, 1 to 4, T the thumb
    fingers: Vec<&'static str>,
    /// Position of the hand, 0.5 for half; none: open or thumb
    position: Option<f64>,
    /// The same in words: third position
    position_words: Option<String>,
}

impl Notes {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        let input = load(&args.source)?;
        print_report(&input.report, &input.lesson.score.assumptions());
        let lesson = input.lesson;
        let events = attacks(&lesson.score);
        let placements = place(&events, &lesson.setup);
        let sections = lesson.score.bar_sections();
        let bar = |event: &Attack| lesson.score.bar_name(event.bar, &sections).to_string();
        let bars = events.iter().map(bar).collect();
        Ok(Self { lesson, events, placements, bars })
    }

    /// The pitches of a note, each with its string.
    fn on_strings(&self, event: &Attack, placement: &Placement) -> String {
        let strings = &self.lesson.setup.instrument.strings;
        let name =
            |string: u8| strings.get(usize::from(string).saturating_sub(1)).map_or("?", |s| s.name.as_str());
        let pairs = event.notes.iter().zip(&placement.strings);
        let words: Vec<String> =
            pairs.map(|(note, &string)| format!("{} on {}", note.pitch.name(), name(string))).collect();
        words.join(", ")
    }
}

impl Answer for Notes {
    type Json<'a> = Json<'a>;

    fn json(&self) -> Json<'_> {
        let score = &self.lesson.score;
        let (dynamics, tempo) = (Dynamics::new(score), score.tempo_map());
        let share = self.lesson.setup.tempo_share;
        let event = move |k: usize| {
            let (event, placement) = (&self.events[k], &self.placements[k]);
            let seconds = tempo.seconds(event.onset) / share;
            EventJson {
                onset: event.onset.to_string(),
                duration: event.duration.to_string(),
                seconds: rounded(seconds),
                duration_seconds: rounded(tempo.seconds(event.end()) / share - seconds),
                midi: event.midi().into_iter().filter_map(number).collect(),
                bar: self.bars[k].clone(),
                voice: event.voice,
                bow: event.bow.map(Direction::word),
                slur: event.slur.map(|slur| slur.0),
                dynamic: dynamics.mark_at(event.onset).map(Dynamic::mark),
                grace: event.grace.is_some(),
                strings: placement.strings.clone(),
                fingers: placement.fingers.iter().map(|finger| finger.mark()).collect(),
                position: placement.position.and_then(Position::number),
                position_words: placement.position.map(Position::words),
            }
        };
        Json {
            title: score.title.clone(),
            part: score.part.clone(),
            instrument: self.lesson.setup.instrument.family.word(),
            bars: score.bars.len(),
            events: Each::new(self.events.len(), event),
        }
    }

    fn text(&self) -> String {
        let score = &self.lesson.score;
        let dynamics = Dynamics::new(score);
        let title = if score.title.is_empty() { "Untitled" } else { &score.title };
        let (bars, notes) = (score.bars.len(), self.events.len());
        let mut out = format!("{title} - {}: {bars} bars, {notes} notes\n", score.part);
        let width = self.bars.iter().map(|bar| bar.chars().count()).fold(5, usize::max);
        let _ = writeln!(
            out,
            "{:>width$}  {:>8}  {:>8}  {:<5} {:<4} {:<6} notes on strings",
            "bar", "onset", "length", "bow", "slur", "dynamic"
        );
        for ((event, placement), bar) in self.events.iter().zip(&self.placements).zip(&self.bars) {
            let _ = writeln!(
                out,
                "{bar:>width$}  {:>8}  {:>8}  {:<5} {:<4} {:<6} {}",
                event.onset.to_string(),
                if event.grace.is_some() { "grace".to_owned() } else { event.duration.to_string() },
                event.bow.map_or("", Direction::word),
                event.slur.map_or_else(String::new, |slur| slur.0.to_string()),
                dynamics.mark_at(event.onset).map_or("", Dynamic::mark),
                self.on_strings(event, placement)
            );
        }
        out
    }
}

/// Whole MIDI numbers as whole numbers, quarter tones as they are.
fn number(midi: f64) -> Option<Number> {
    if midi.fract() == 0.0 { Some(Number::from(midi as i64)) } else { Number::from_f64(midi) }
}
