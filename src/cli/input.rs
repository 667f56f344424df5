//! From the arguments to a lesson.

use std::path::PathBuf;

use crate::{
    analysis::Study,
    exchange::{OpenError, Opened, UNTOLD, musicxml::Document, open, open_file, sentence},
    lesson::{Lesson, demo},
    score::figure,
    setup::{Family, TEMPO_SHARE},
};

use super::{Failure, complain, figures::number};

/// What is read, and for whom.
#[derive(clap::Args, Debug)]
pub(super) struct Source {
    /// MusicXML file, lesson file, "demo" for the built-in demo, or "-" for standard input
    pub file: PathBuf,
    /// Part, by number from 1 or by name
    #[arg(long)]
    pub part: Option<String>,
    /// Quarter notes a minute to practise at; the marked tempo otherwise
    #[arg(long, value_name = "QPM", value_parser = number, allow_negative_numbers = true)]
    pub tempo: Option<f64>,
    /// Instrument; otherwise taken from the file
    #[arg(long, value_enum)]
    pub instrument: Option<InstrumentChoice>,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum InstrumentChoice {
    Violin,
    Viola,
    Cello,
    #[value(name = "double-bass", alias = "bass")]
    DoubleBass,
}

impl From<InstrumentChoice> for Family {
    fn from(choice: InstrumentChoice) -> Self {
        match choice {
            InstrumentChoice::Violin => Self::Violin,
            InstrumentChoice::Viola => Self::Viola,
            InstrumentChoice::Cello => Self::Cello,
            InstrumentChoice::DoubleBass => Self::DoubleBass,
        }
    }
}

/// A lesson and what there is to say about the file it came from.
pub(super) struct Input {
    /// The lesson, with the options applied.
    pub lesson: Lesson,
    /// Lines about the reading of the file.
    pub report: Vec<String>,
}

/// Reads the file and applies the options.
pub(super) fn load(source: &Source) -> Result<Input, Failure> {
    let mut input = if source.file.as_os_str() == "demo" && !source.file.exists() {
        let mut lesson = demo::demo();
        if let Some(family) = source.instrument {
            lesson.setup = lesson.setup.on(family.into());
        }
        Input { lesson, report: Vec::new() }
    } else {
        read(source)
            .map_err(|error| Failure(format!("{}\n  in {}", sentence(&error), source.file.display())))?
    };
    if let Some(qpm) = source.tempo {
        let marked = input.lesson.score.tempo_map().qpm_at(crate::score::Quarters::ZERO);
        let share = qpm / marked;
        let (least, most) = TEMPO_SHARE;
        if !(least..=most).contains(&share) {
            return Err(Failure(format!(
                "--tempo {} is out of range; the marked tempo is {marked:.0}, practise between {:.0} and {:.0}",
                figure(qpm),
                (marked * least).max(1.0),
                marked * most
            )));
        }
        input.lesson.setup.tempo_share = share;
    }
    Ok(input)
}

/// Reads the file, applies the options, analyses, and prints what there is to say.
pub(super) fn study(source: &Source) -> Result<Study, Failure> {
    let input = load(source)?;
    let study = Study::new(input.lesson);
    print_report(&input.report, &study.analysis().findings.notices);
    Ok(study)
}

fn read(source: &Source) -> Result<Input, OpenError> {
    let opened =
        if source.file.as_os_str() == "-" { open(std::io::stdin().lock()) } else { open_file(&source.file) };
    match opened? {
        Opened::Lesson(mut lesson, _) => {
            if let Some(family) = source.instrument {
                lesson.setup = lesson.setup.on(family.into());
            }
            Ok(Input { lesson: *lesson, report: Vec::new() })
        }
        Opened::Score(document) => read_part(&document, source),
    }
}

fn read_part(document: &Document, source: &Source) -> Result<Input, OpenError> {
    let part = match &source.part {
        Some(wanted) => document.find_part(wanted)?,
        None => document.likely_part(),
    };
    let imported = document.read(part)?;
    let mut report: Vec<String> = Vec::new();
    if document.parts().len() > 1 && source.part.is_none() {
        let names: Vec<String> = document
            .parts()
            .iter()
            .map(|part| format!("{} {}", part.index + 1, part.name.replace('\n', " ")))
            .collect();
        report.push(format!(
            "reading part {} of {}; --part chooses another: {}",
            part + 1,
            names.len(),
            names.join(", ")
        ));
    }
    report.extend(imported.diagnostics.iter().map(ToString::to_string));
    let family = source.instrument.map(Family::from).or(imported.instrument).unwrap_or_else(|| {
        let (assumed, words) = UNTOLD;
        report.push(format!("{words}, --instrument chooses another"));
        assumed
    });
    let lesson = Lesson::new(imported.score, family).from_file(&source.file, &imported.part);
    Ok(Input { lesson, report })
}

/// Prints what there is to say about the reading of a file, and what the analysis assumed.
pub(super) fn print_report(report: &[String], notices: &[impl AsRef<str>]) {
    let notices = notices.iter().map(AsRef::as_ref);
    for line in report.iter().map(String::as_str).chain(notices) {
        complain(line);
    }
}
