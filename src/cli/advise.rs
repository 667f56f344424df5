//! `advise`: what may cure a finding, tried for real.

use std::fmt::Write as _;

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    advice::{Remedy, each_remedy, rank},
    bowing::Finding,
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    bars::{bar_exists, bars_of},
    input::{Source, study},
    json::rounded,
    progress::Progress,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    /// Only findings in these bars, by printed number; in a movement as II:5
    #[arg(long, value_name = "BAR", num_args = 1..)]
    pub at: Vec<String>,
    /// Only findings in these bars, first to last, as 5 or 5-8; in a movement as II:5-8
    #[arg(long, conflicts_with = "at")]
    pub bars: Option<String>,
    #[command(flatten)]
    pub form: FormArgs,
}

/// Findings, each with what may cure it.
pub(super) struct Advice(Vec<(Finding, Vec<Remedy>)>);

#[derive(Serialize, JsonSchema)]
pub(super) struct Json {
    /// The findings of the bars asked about
    findings: Vec<FindingJson>,
}

#[derive(Serialize, JsonSchema)]
struct FindingJson {
    /// Kind of finding; the same in every version
    id: &'static str,
    /// How bad it is, such as: runs out as marked
    verdict: &'static str,
    /// Bar and beat in words
    place: String,
    /// Place and headline
    title: String,
    /// What was tried and leaves it better, the best first
    remedies: Vec<RemedyJson>,
}

#[derive(Serialize, JsonSchema)]
struct RemedyJson {
    /// Kind of change; the same in every version
    id: String,
    /// The change in words
    words: String,
    /// What it leaves, in one sentence
    effect: String,
    /// The finding is gone and nothing as bad has come
    cures: bool,
    /// Marks that differ
    marks_changed: usize,
    /// Titles of findings that were not there before
    new_findings: Vec<String>,
    /// How much the passage asks of the player before the change
    burden_before: f64,
    /// The same after it; less is better
    burden_after: f64,
}

impl Advice {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        let study = study(&args.source)?;
        let span = args.bars.as_deref().map(|bars| bars_of(&study.lesson().score, bars)).transpose()?;
        for bar in &args.at {
            bar_exists(&study.lesson().score, bar)?;
        }
        let asked = |finding: &&Finding| match &span {
            Some(span) => finding.spots().any(|spot| span.contains(&spot.at)),
            None => args.at.is_empty() || args.at.iter().any(|bar| is_in(finding, bar)),
        };
        let told: Vec<&Finding> = study.analysis().findings.told.iter().filter(asked).collect();
        let mut progress = Progress::new("trying changes");
        let mut cured = Vec::with_capacity(told.len());
        for (index, finding) in told.iter().enumerate() {
            let mut tried = Vec::new();
            each_remedy(&study, finding, &mut |remedy, (done, of)| {
                tried.extend(remedy);
                progress.tell((index as f64 + done as f64 / of as f64) / told.len() as f64);
                true
            });
            cured.push(((*finding).clone(), rank(tried)));
        }
        Ok(Self(cured))
    }
}

/// The finding has a place in a bar given as "8", or as "II:8" where there are several sections.
fn is_in(finding: &Finding, bar: &str) -> bool {
    finding.spots().any(|spot| spot.place.bar.as_ref().is_some_and(|name| name.is(bar)))
}

impl Answer for Advice {
    type Json<'a> = Json;

    fn json(&self) -> Json {
        let finding = |(finding, remedies): &(Finding, Vec<Remedy>)| FindingJson {
            id: finding.kind.id(),
            verdict: finding.verdict.words(),
            place: finding.place.to_string(),
            title: finding.title(),
            remedies: remedies.iter().map(RemedyJson::from).collect(),
        };
        Json { findings: self.0.iter().map(finding).collect() }
    }

    fn text(&self) -> String {
        if self.0.is_empty() {
            return "nothing found there\n".to_owned();
        }
        let mut out = String::new();
        for (finding, remedies) in &self.0 {
            let _ = writeln!(out, "{} ({})\n  {}", finding.title(), finding.verdict.words(), finding.what);
            if remedies.is_empty() {
                let _ = writeln!(out, "  nothing tried makes it better");
            } else if !remedies.iter().any(Remedy::cures) {
                let _ = writeln!(out, "  nothing tried cures it; the least bad first");
            }
            for remedy in remedies.iter().take(SHOWN) {
                let _ = writeln!(out, "  - {}: {}", remedy.trial.words, remedy.effect);
            }
        }
        out
    }
}

/// Remedies shown for one finding as text.
const SHOWN: usize = 4;

impl From<&Remedy> for RemedyJson {
    fn from(remedy: &Remedy) -> Self {
        Self {
            id: remedy.trial.id(),
            words: remedy.trial.words.clone(),
            effect: remedy.effect.clone(),
            cures: remedy.cures(),
            marks_changed: remedy.marks_changed,
            new_findings: remedy.new_findings.clone(),
            burden_before: rounded(remedy.before.burden()),
            burden_after: rounded(remedy.after.burden()),
        }
    }
}
