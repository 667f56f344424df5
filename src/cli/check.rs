//! `check`: what a player should know before playing.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    analysis::Study,
    arm::Spells,
    bowing::{Finding, Spot, Verdict, ranked, spots},
};

use super::{
    FOUND, Failure,
    answer::{Answer, FormArgs},
    input::{Source, study},
    json::rounded,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    /// Order of the list
    #[arg(long, value_enum, default_value = "music")]
    pub order: Order,
    #[command(flatten)]
    pub form: FormArgs,
}

/// In which order findings are listed.
#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum Order {
    /// As they come in the music
    Music,
    /// The worst and most plainly heard first
    Worst,
}

/// What is found in a part.
pub(super) struct Check {
    study: Study,
    order: Order,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct Json {
    /// Title of the piece
    title: String,
    /// Name of the part
    part: String,
    /// How many notes there are, ties joined
    notes: usize,
    /// Spots that cannot be played as marked
    impossible: usize,
    /// Spots where the bow runs out as marked
    runs_out: usize,
    /// Spots that are tight
    tight: usize,
    /// Spots worth a look
    worth_a_look: usize,
    /// What was found, in the order asked for
    findings: Vec<FindingJson>,
    /// Findings that are not to be told in this lesson
    silenced: Vec<SilencedJson>,
    /// What the passage asks of the bow arm
    arm: ArmJson,
}

#[derive(Serialize, JsonSchema)]
struct FindingJson {
    /// Kind of finding; the same in every version
    id: &'static str,
    /// How bad it is, such as: runs out as marked
    verdict: &'static str,
    /// Bar and beat in words
    place: String,
    /// Quarter notes from the start of the piece, as 5/2
    at: String,
    /// Where the hair ends, if it does, likewise
    out: String,
    /// The note it is about, counted from 0
    note: usize,
    /// Further places where the same is so
    more: Vec<SpotJson>,
    /// How plainly it is heard, 0 to 1
    heard: f64,
    /// Hair that is missing, mm; 0 where none is
    short_mm: f64,
    /// Time that is missing, s; 0 where none is
    short_seconds: f64,
    /// Place and headline
    title: String,
    /// What happens, with its figures
    what: String,
    /// Why it matters
    why: String,
}

#[derive(Serialize, JsonSchema)]
struct SpotJson {
    /// Bar and beat in words
    place: String,
    /// Quarter notes from the start of the piece, as 5/2
    at: String,
    /// The note, counted from 0
    note: usize,
}

#[derive(Serialize, JsonSchema)]
struct SilencedJson {
    /// Kind of finding; the same in every version
    id: &'static str,
    /// Bar and beat in words
    place: String,
    /// Why it is silenced
    reason: String,
}

#[derive(Serialize, JsonSchema)]
struct ArmJson {
    /// Time with the bow on the string, s
    playing_seconds: f64,
    /// With the upper arm raised above 60 degrees
    upper_arm_above_60_degrees: SpellsJson,
    /// With the bow far out
    bow_far_out: SpellsJson,
}

#[derive(Serialize, JsonSchema)]
struct SpellsJson {
    /// In all, s
    seconds: f64,
    /// The longest without a rest: from, to, s
    longest: [f64; 2],
}

impl Check {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        Ok(Self { study: study(&args.source)?, order: args.order })
    }

    fn count(&self, verdict: Verdict) -> usize {
        spots(&self.study.analysis().findings.told, verdict)
    }

    /// The findings in the order asked for.
    fn ordered(&self) -> impl Iterator<Item = &Finding> {
        let told = &self.study.analysis().findings.told;
        let order = match self.order {
            Order::Music => (0..told.len()).collect(),
            Order::Worst => ranked(told),
        };
        order.into_iter().map(|index| &told[index])
    }
}

impl Answer for Check {
    type Json<'a> = Json;

    fn json(&self) -> Json {
        let (lesson, analysis) = (self.study.lesson(), self.study.analysis());
        let silenced = analysis.findings.silenced.iter().map(|(finding, reason)| SilencedJson {
            id: finding.kind.id(),
            place: finding.place.to_string(),
            reason: reason.clone(),
        });
        let care = analysis.care(&lesson.score.bar_sections());
        Json {
            title: lesson.score.title.clone(),
            part: lesson.score.part.clone(),
            notes: analysis.line.notes.len(),
            impossible: self.count(Verdict::Impossible),
            runs_out: self.count(Verdict::RunsOut),
            tight: self.count(Verdict::Tight),
            worth_a_look: self.count(Verdict::Notice),
            findings: self.ordered().map(FindingJson::from).collect(),
            silenced: silenced.collect(),
            arm: ArmJson {
                playing_seconds: rounded(care.playing_s),
                upper_arm_above_60_degrees: care.raised.into(),
                bow_far_out: care.far.into(),
            },
        }
    }

    fn text(&self) -> String {
        let (lesson, analysis) = (self.study.lesson(), self.study.analysis());
        let mut out = String::new();
        for finding in self.ordered() {
            let (title, verdict) = (finding.title(), finding.verdict.words());
            let _ = writeln!(out, "{title} ({verdict})\n  {}\n  {}", finding.what, finding.why);
            if !finding.more.is_empty() {
                let _ = writeln!(out, "  {}", more_words(&finding.more));
            }
        }
        let _ = write!(
            out,
            "{} note{} in {} stroke{}: {} cannot be played, {} run out as marked, {} tight, {} worth a look",
            analysis.line.notes.len(),
            plural(analysis.line.notes.len()),
            analysis.bowing.strokes.len(),
            plural(analysis.bowing.strokes.len()),
            self.count(Verdict::Impossible),
            self.count(Verdict::RunsOut),
            self.count(Verdict::Tight),
            self.count(Verdict::Notice),
        );
        let hidden = analysis.findings.silenced.len();
        let _ = if hidden > 0 { writeln!(out, "; {hidden} silenced") } else { writeln!(out) };
        if let Some((line, more)) = analysis.care_words(&lesson.score) {
            let _ = writeln!(out, "{line}.\n  {more}");
        }
        out
    }

    fn code(&self) -> u8 {
        if self.count(Verdict::Impossible) + self.count(Verdict::RunsOut) > 0 { FOUND } else { 0 }
    }
}

impl From<&Finding> for FindingJson {
    fn from(finding: &Finding) -> Self {
        Self {
            id: finding.kind.id(),
            verdict: finding.verdict.words(),
            place: finding.place.to_string(),
            at: finding.at.to_string(),
            out: finding.out.to_string(),
            note: finding.note,
            more: finding.more.iter().map(SpotJson::from).collect(),
            heard: rounded(finding.heard),
            short_mm: rounded(finding.short_mm),
            short_seconds: rounded(finding.short_s),
            title: finding.title(),
            what: finding.what.clone(),
            why: finding.why.clone(),
        }
    }
}

impl From<&Spot> for SpotJson {
    fn from(spot: &Spot) -> Self {
        Self { place: spot.place.to_string(), at: spot.at.to_string(), note: spot.note }
    }
}

impl From<Spells> for SpellsJson {
    fn from(spells: Spells) -> Self {
        let (from, to) = spells.longest;
        Self { seconds: rounded(spells.total_s), longest: [from, to].map(rounded) }
    }
}

/// At most this many further places are named in a line of text.
const NAMED: usize = 6;

fn more_words(spots: &[Spot]) -> String {
    let named: Vec<String> = spots.iter().take(NAMED).map(|spot| spot.place.to_string()).collect();
    let rest = spots.len().saturating_sub(NAMED);
    let tail = if rest > 0 { format!("; and {rest} more") } else { String::new() };
    format!("The same at {}{tail}.", named.join("; "))
}

fn plural(count: usize) -> &'static str {
    if count == 1 { "" } else { "s" }
}
