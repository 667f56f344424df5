//! `pencil`: what a teacher would write over the notes.

use std::{fmt::Write as _, ops::Range};

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    analysis::Study,
    bowing::{Pencil, PencilMark, Topic},
    score::{Quarters, sentence_case},
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    bars::bars_of,
    input::{Source, study},
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    /// Bars, as 5 or 5-8, in a movement as II:5-8; all otherwise
    #[arg(long)]
    pub bars: Option<String>,
    #[command(flatten)]
    pub form: FormArgs,
}

/// The pencil marks of a part, or of some of its bars.
pub(super) struct Pencilled {
    study: Study,
    bars: Option<Range<Quarters>>,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct Json {
    /// Title of the piece
    title: String,
    /// Name of the part
    part: String,
    /// What to write over the notes, in the order of the music
    marks: Vec<MarkJson>,
}

#[derive(Serialize, JsonSchema)]
struct MarkJson {
    /// Quarter notes from the start of the piece, as 5/2
    at: String,
    /// Number of the bar, with its movement as II:8 if need be
    bar: String,
    /// That place in words: bar and beat
    place: String,
    /// What it is about; stays the same from version to version
    kind: &'static str,
    /// What else it tells, if anything
    also: Option<&'static str>,
    /// 3 must be told, 2 is worth telling, 1 if time allows
    weight: u8,
    /// What to write over the staff
    text: String,
    /// One sentence for the pupil
    sentence: String,
    /// The reason for it
    why: String,
    /// The note it stands over, counted from 0
    note: usize,
}

impl Pencilled {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        let study = study(&args.source)?;
        let bars = args.bars.as_deref().map(|typed| bars_of(&study.lesson().score, typed)).transpose()?;
        Ok(Self { study, bars })
    }

    /// Those of these marks that stand in the bars.
    fn within<'a>(&'a self, marks: &'a [PencilMark]) -> impl Iterator<Item = &'a PencilMark> {
        marks.iter().filter(|mark| self.bars.as_ref().is_none_or(|bars| bars.contains(&mark.at)))
    }
}

impl Answer for Pencilled {
    type Json<'a> = Json;

    fn json(&self) -> Json {
        let score = &self.study.lesson().score;
        Json {
            title: score.title.clone(),
            part: score.part.clone(),
            marks: self.within(&self.study.pencil().marks).map(MarkJson::from).collect(),
        }
    }

    fn text(&self) -> String {
        let mut out = String::new();
        let Pencil { marks, rubbed_out } = self.study.pencil();
        for mark in self.within(marks) {
            let _ = writeln!(out, "{}\n  {} {}", titled(mark), mark.sentence, mark.why);
        }
        for mark in self.within(rubbed_out) {
            let _ = writeln!(out, "{} (rubbed out)", titled(mark));
        }
        out
    }
}

/// "Bar 8, beat 1: save".
fn titled(mark: &PencilMark) -> String {
    format!("{}: {}", sentence_case(&mark.place.to_string()), mark.text)
}

impl From<&PencilMark> for MarkJson {
    fn from(mark: &PencilMark) -> Self {
        Self {
            at: mark.at.to_string(),
            bar: mark.place.bar.as_ref().map_or_else(String::new, |bar| bar.typed()),
            place: mark.place.to_string(),
            kind: mark.topic.id(),
            also: mark.also.map(Topic::id),
            weight: mark.weight as u8,
            text: mark.text.clone(),
            sentence: mark.sentence.clone(),
            why: mark.why.clone(),
            note: mark.note,
        }
    }
}
