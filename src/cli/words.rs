//! `words`: a passage in words, as a teacher goes through it with a pupil.

use std::{fmt::Write as _, ops::Range};

use schemars::JsonSchema;
use serde::Serialize;

use crate::{
    analysis::Study,
    practice::{Passage, Phrase, Sentence, Tempos},
};

use super::{
    Failure,
    answer::{Answer, FormArgs},
    bars::bar_range,
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

/// A passage in words.
pub(super) struct Worded {
    study: Study,
    passage: Passage,
}

#[derive(Serialize, JsonSchema)]
pub(super) struct Json {
    /// Title of the piece
    title: String,
    /// Name of the part
    part: String,
    /// The phrases, in the order of the music
    phrases: Vec<PhraseJson>,
}

#[derive(Serialize, JsonSchema)]
struct PhraseJson {
    /// Its bars in words
    title: String,
    /// Its bars as they are typed, 5-8
    bars: String,
    /// Where its first bow starts, in quarter notes, as 5/2
    from: String,
    /// Where its last bow ends, the same way
    to: String,
    /// What is said, in its order
    sentences: Vec<SentenceJson>,
}

#[derive(Serialize, JsonSchema)]
struct SentenceJson {
    /// From where it holds, in quarter notes
    from: String,
    /// To where, the same way
    to: String,
    /// What it is about; stays the same from version to version
    kind: String,
    /// What is said; empty where it is left out
    text: String,
    /// The teacher has written it
    own: bool,
    /// The plan has changed since
    outdated: bool,
}

impl Worded {
    pub fn new(args: &Args) -> Result<Self, Failure> {
        let study = study(&args.source)?;
        let score = &study.lesson().score;
        let bars: Range<usize> = match &args.bars {
            Some(typed) => bar_range(score, typed)?,
            None => 0..score.bars.len(),
        };
        let passage = Passage::new(&study, Some(&Tempos::new(&study)), bars);
        if passage.phrases.is_empty() && args.bars.is_some() {
            return Err(Failure("nothing is bowed in these bars; give others with --bars".to_owned()));
        }
        Ok(Self { study, passage })
    }
}

impl Answer for Worded {
    type Json<'a> = Json;

    fn json(&self) -> Json {
        let score = &self.study.lesson().score;
        let phrase = |phrase: &Phrase| PhraseJson {
            title: phrase.title.clone(),
            bars: score.typed_bars(phrase.bars.clone()),
            from: phrase.from.to_string(),
            to: phrase.to.to_string(),
            sentences: phrase.sentences.iter().map(SentenceJson::from).collect(),
        };
        Json {
            title: score.title.clone(),
            part: score.part.clone(),
            phrases: self.passage.phrases.iter().map(phrase).collect(),
        }
    }

    fn text(&self) -> String {
        let mut out = String::new();
        for phrase in &self.passage.phrases {
            let _ = writeln!(out, "{}", phrase.title);
            for sentence in phrase.sentences.iter().filter(|sentence| sentence.is_said()) {
                let _ = writeln!(out, "  {}", sentence.words());
            }
        }
        out
    }
}

impl From<&Sentence> for SentenceJson {
    fn from(sentence: &Sentence) -> Self {
        Self {
            from: sentence.from.to_string(),
            to: sentence.to.to_string(),
            kind: sentence.says.id(),
            text: sentence.words().to_owned(),
            own: sentence.own.is_some(),
            outdated: sentence.own.as_ref().is_some_and(|own| own.outdated),
        }
    }
}
