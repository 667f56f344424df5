//! From the arguments to a lesson.

use std::io::Read as _;

use crate::{
    exchange::{lesson_file, musicxml},
    lesson::{Lesson, demo},
    setup::{Family, Setup},
};

use super::{Failure, Source};

/// Largest input read, bytes.
const LIMIT: u64 = 64 << 20;

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
        let family = source.instrument.map(Family::from);
        if let Some(family) = family.filter(|family| *family != lesson.setup.instrument.family) {
            lesson.setup = Setup::for_family(family);
        }
        Input { lesson, report: Vec::new() }
    } else {
        let bytes = read(source)?;
        from_bytes(&bytes, source)
            .map_err(|Failure(text)| Failure(format!("{text}\n  in {}", source.file.display())))?
    };
    if let Some(qpm) = source.tempo {
        let marked = input.lesson.score.tempo_map().qpm_at(crate::score::Quarters::ZERO);
        let share = qpm / marked;
        if !(share.is_finite() && (0.02..=10.0).contains(&share)) {
            return Err(Failure(format!(
                "--tempo {qpm} is out of range; the marked tempo is {marked:.0}, practise between {:.0} and {:.0}",
                (marked * 0.02).max(1.0),
                marked * 10.0
            )));
        }
        input.lesson.setup.tempo_share = share;
    }
    Ok(input)
}

fn read(source: &Source) -> Result<Vec<u8>, Failure> {
    let mut bytes = Vec::new();
    let result = if source.file.as_os_str() == "-" {
        std::io::stdin().lock().take(LIMIT + 1).read_to_end(&mut bytes)
    } else {
        std::fs::File::open(&source.file).and_then(|file| file.take(LIMIT + 1).read_to_end(&mut bytes))
    };
    result
        .map_err(|error| Failure(format!("the file cannot be read: {error}\n  {}", source.file.display())))?;
    if bytes.len() as u64 > LIMIT {
        return Err(Failure(format!(
            "the file is larger than 64 MiB, which no part is\n  {}",
            source.file.display()
        )));
    }
    Ok(bytes)
}

fn from_bytes(bytes: &[u8], source: &Source) -> Result<Input, Failure> {
    if lesson_file::is_lesson(bytes) {
        let text = std::str::from_utf8(bytes)
            .map_err(|error| Failure(format!("a lesson file must be UTF-8 text: {error}")))?;
        let mut lesson = lesson_file::read(text).map_err(|error| Failure::from_error(&error))?;
        if let Some(family) = source.instrument {
            lesson.setup = Setup::for_family(family.into());
        }
        return Ok(Input { lesson, report: Vec::new() });
    }
    let document = musicxml::open(bytes).map_err(|error| Failure::from_error(&error))?;
    let part = match &source.part {
        Some(wanted) => document.find_part(wanted).map_err(|error| Failure::from_error(&error))?,
        None => document.likely_part(),
    };
    let imported = document.read(part).map_err(|error| Failure::from_error(&error))?;
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
        report.push(
            "the file does not tell the instrument; viola is assumed, --instrument chooses another"
                .to_owned(),
        );
        Family::Viola
    });
    Ok(Input { lesson: Lesson::new(imported.score, family), report })
}

/// Prints what there is to say about the reading of a file, and what the analysis assumed.
pub(super) fn print_report(report: &[String], notices: &[String]) {
    for line in report.iter().chain(notices) {
        eprintln!("elbowroom: {line}");
    }
}

/// Pretty JSON with a line end.
pub(super) fn json_text(value: &serde_json::Value) -> String {
    // Values made by the json! macro always print.
    serde_json::to_string_pretty(value).unwrap_or_default() + "\n"
}

/// A length or time rounded to a millionth, so that no float dust is printed.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}
