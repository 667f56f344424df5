//! `suggest`: other bowings for a part or some of its bars.

use std::{fmt::Write as _, ops::Range, path::PathBuf};

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    advice::{Ask, Changed, Difference, Freedom, Standing, Suggestion, suggest},
    analysis::Study,
    bowing::Stroke,
    exchange::lesson_file,
    score::Quarters,
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    bars::bars_of,
    figures::whole,
    input::{Source, study},
    json::rounded,
    output::{Over, write_file},
    progress::Progress,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    /// What may be changed
    #[arg(long, value_enum, default_value = "splits")]
    pub may_change: MayChange,
    /// Bars that may be bowed anew, as 5 or 5-8; all otherwise
    #[arg(long)]
    pub bars: Option<String>,
    /// Number of answers at most
    #[arg(long, default_value = "3", value_parser = whole(1..=5_u8), allow_negative_numbers = true)]
    pub answers: u8,
    /// Lesson file to write with the first answer in it
    #[arg(long, value_name = "OUT")]
    pub save_best: Option<PathBuf>,
    #[command(flatten)]
    pub over: Over,
    #[command(flatten)]
    pub form: FormArgs,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum MayChange {
    /// Directions and retakes
    Directions,
    /// Also hook notes, and split slurs too long for one bow
    Splits,
    /// Also split any slur, and join notes in one bow
    All,
}

/// Bowings for a part, the best first.
pub(super) struct Suggested {
    study: Study,
    answers: Vec<Suggestion>,
    /// Weight of the bowing as it is.
    now: f64,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct Json {
    /// Title of the piece
    title: String,
    /// Name of the part
    part: String,
    /// Weight of the bowing as it is; less is better
    weight_now: f64,
    /// Bowings, the best first
    answers: Vec<AnswerJson>,
}

#[derive(Serialize, JsonSchema)]
struct AnswerJson {
    /// What is changed, in a few words
    headline: String,
    /// Every change of the marks, in the order of the music
    changes: Vec<ChangeJson>,
    /// What is better and worse than now and in other answers
    reasons: Vec<String>,
    /// Its weight; less is better
    weight: f64,
    /// Marks that differ from now
    marks_changed: usize,
    /// How the part stands with it
    #[serde(flatten)]
    part: StandingJson,
    /// Cost of its plan
    cost: f64,
    /// How the bars asked about stand with it
    asked: StandingJson,
    /// All strokes of the part
    strokes: Vec<StrokeJson>,
}

#[derive(Serialize, JsonSchema)]
struct ChangeJson {
    /// Quarter notes from the start of the piece, as 5/2
    at: String,
    /// Bar and beat in words
    place: String,
    /// The change in words
    words: String,
}

#[derive(Serialize, JsonSchema)]
struct StandingJson {
    /// Spots that cannot be played as marked
    impossible: usize,
    /// Spots where the bow runs out as marked
    runs_out: usize,
    /// Spots that are tight
    tight: usize,
    /// Spots worth a look
    worth_a_look: usize,
    /// Bars that begin on a down-bow, and all that might
    bars_on_down_bows: [usize; 2],
    /// Hairpins that go with the bow, and all there are
    hairpins_with_the_bow: [usize; 2],
}

#[derive(Serialize, JsonSchema)]
struct StrokeJson {
    /// Quarter notes from the start of the piece, as 5/2
    at: String,
    /// Bar and beat in words
    place: String,
    /// down or up
    direction: &'static str,
    /// How many notes it has
    notes: usize,
    /// The bow is lifted before it, or starts here
    lifted: bool,
}

impl Suggested {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        let study = study(&args.source)?;
        // Before a search that may take a minute.
        if let Some(path) = &args.save_best {
            args.over.check(path, &args.source, lesson_file::is_lesson)?;
        }
        let freedom = match args.may_change {
            MayChange::Directions => Freedom::Directions,
            MayChange::Splits => Freedom::Splits,
            MayChange::All => Freedom::Free,
        };
        let score = &study.lesson().score;
        let span = args.bars.as_deref().map(|bars| bars_of(score, bars)).transpose()?;
        let inside = |span: Range<Quarters>| {
            let events = score.events.iter().filter(|event| span.contains(&event.onset));
            events.map(|event| event.id).collect()
        };
        let ask = Ask { events: span.map(inside), freedom, answers: usize::from(args.answers) };
        let mut progress = Progress::new("looking for bowings");
        let mut keep_going = |share| {
            progress.tell(share);
            true
        };
        let answers = suggest(&study, &ask, &mut keep_going).map_err(|error| Failure::from_error(&error))?;
        drop(progress);
        if let (Some(path), Some(best)) = (&args.save_best, answers.first()) {
            let text =
                lesson_file::write(best.study.lesson()).map_err(|error| Failure::from_error(&error))?;
            write_file(path, text.as_bytes())?;
        }
        let now = Standing::of(&study).weight(Changed::default());
        Ok(Self { study, answers, now })
    }
}

impl Answer for Suggested {
    type Json<'a> = Json;

    fn json(&self) -> Json {
        let score = &self.study.lesson().score;
        Json {
            title: score.title.clone(),
            part: score.part.clone(),
            weight_now: rounded(self.now),
            answers: self.answers.iter().map(AnswerJson::from).collect(),
        }
    }

    fn text(&self) -> String {
        let mut out = String::new();
        for (index, answer) in self.answers.iter().enumerate() {
            let _ = writeln!(out, "{}. {}", index + 1, answer.headline);
            // The headline has all of two.
            for change in answer.changes.iter().filter(|_| answer.changes.len() > 2) {
                let _ = writeln!(out, "   - {}: {}", change.place, change.words);
            }
            for reason in &answer.reasons {
                let _ = writeln!(out, "   {reason}");
            }
        }
        let best = self.answers.first().map_or(self.now, Suggestion::weight);
        let _ = writeln!(out, "weight {best:.2}, now {:.2}; the lower, the better", self.now);
        out
    }
}

impl From<&Suggestion> for AnswerJson {
    fn from(answer: &Suggestion) -> Self {
        let (lesson, analysis) = (answer.study.lesson(), answer.study.analysis());
        let stroke = |stroke: &Stroke| {
            let note = analysis.note(stroke.notes.start);
            StrokeJson {
                at: note.onset.to_string(),
                place: lesson.score.place(note.onset).to_string(),
                direction: stroke.direction.word(),
                notes: stroke.notes.len(),
                lifted: stroke.lift_before,
            }
        };
        Self {
            headline: answer.headline.clone(),
            changes: answer.changes.iter().map(ChangeJson::from).collect(),
            reasons: answer.reasons.clone(),
            weight: rounded(answer.weight()),
            marks_changed: answer.changed.marks,
            part: StandingJson::from(&answer.after),
            cost: rounded(answer.after.cost),
            asked: StandingJson::from(&answer.here),
            strokes: analysis.bowing.strokes.iter().map(stroke).collect(),
        }
    }
}

impl From<&Difference> for ChangeJson {
    fn from(change: &Difference) -> Self {
        Self { at: change.at.to_string(), place: change.place.clone(), words: change.words.clone() }
    }
}

impl From<&Standing> for StandingJson {
    fn from(standing: &Standing) -> Self {
        Self {
            impossible: standing.impossible,
            runs_out: standing.runs_out,
            tight: standing.tight,
            worth_a_look: standing.notices,
            bars_on_down_bows: standing.strong_beats.into(),
            hairpins_with_the_bow: standing.hairpins.into(),
        }
    }
}
