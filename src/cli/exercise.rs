//! `exercise`: the ladder up to double stops, or an exercise made from some bars, as a lesson file.

use crate::{
    analysis::Study,
    arm::together,
    exchange::lesson_file,
    lesson::{Lesson, change::new_passage},
    practice::{Practised, double_stop_ladder, double_stops, first_double_stops, passage_exercise},
    score::{DEFAULT_QPM, Note, Pitch, TimeSignature},
};

use super::{
    Failure,
    input::{Source, load, print_report},
    output::{Output, write_file},
    said::Results,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    /// Two notes to be played together, as D4,B4, in place of those of the part; may be repeated
    #[arg(long, value_name = "NOTES")]
    pub notes: Vec<String>,
    /// The first double stops of the instrument in place of those of the part
    #[arg(long, conflicts_with = "notes")]
    pub first: bool,
    /// What is practised of the bars, in place of the double stops
    #[arg(long, value_name = "KIND", value_parser = kinds(), conflicts_with_all = ["notes", "first"])]
    pub of: Option<String>,
    /// The bars it is made from, as 5-8; all of them otherwise
    #[arg(long, value_name = "BARS", requires = "of")]
    pub bars: Option<String>,
    #[command(flatten)]
    pub output: Output,
}

fn kinds() -> clap::builder::PossibleValuesParser {
    let value = |kind: Practised| clap::builder::PossibleValue::new(kind.id()).help(kind.words());
    Practised::ALL.map(value).into()
}

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    let input = load(&args.source)?;
    let mut lesson = input.lesson;
    if let Some(kind) = args.of.as_deref().and_then(Practised::from_id) {
        let study = Study::new(lesson);
        print_report(&input.report, &study.analysis().findings.notices);
        let score = &study.lesson().score;
        let bars = match &args.bars {
            Some(typed) => {
                score.bars_named(typed).map_err(|error| Failure(format!("--bars {typed}: {error}")))?
            }
            None => 0..score.bars.len(),
        };
        let exercise = passage_exercise(&study, bars, kind)
            .map_err(|why| Failure(format!("--of {}: {why}", kind.id())))?;
        return write(args, &exercise, out);
    }
    let pairs = if args.first {
        // Of the instrument alone: neither clef nor key of the part.
        let empty = new_passage(lesson.setup.instrument.family, TimeSignature::new(4, 4), 0, DEFAULT_QPM);
        lesson = Lesson { setup: lesson.setup, ..empty };
        first_double_stops(&lesson.setup)
    } else if args.notes.is_empty() {
        let study = Study::new(lesson.clone());
        print_report(&input.report, &study.analysis().findings.notices);
        double_stops(&study)
    } else {
        args.notes.iter().map(|names| pair(names)).collect::<Result<_, _>>()?
    };
    for pair in &pairs {
        if let Some(problem) = together(&lesson.setup, pair, 1.0).problem {
            return Err(Failure(problem));
        }
    }
    let Some(exercise) = double_stop_ladder(&lesson, &pairs) else {
        return Err(Failure(
            "there is no double stop in this part that lies in the hand; give one with --notes D4,B4"
                .to_owned(),
        ));
    };
    write(args, &exercise, out)
}

fn write(args: &Args, exercise: &Lesson, out: &mut Results) -> Result<u8, Failure> {
    let text = lesson_file::write(exercise).map_err(|error| Failure::from_error(&error))?;
    args.output.over.check(&args.output.path, &args.source, lesson_file::is_lesson)?;
    write_file(&args.output.path, text.as_bytes())?;
    out.print(&format!("{}: {} bars\n", exercise.score.title, exercise.score.bars.len()));
    Ok(0)
}

/// Two notes out of "D4,B4".
fn pair(names: &str) -> Result<[Note; 2], Failure> {
    let notes: Option<Vec<Note>> =
        names.split(',').map(|name| Pitch::from_name(name).map(Note::new)).collect();
    notes.and_then(|notes| <[Note; 2]>::try_from(notes).ok()).ok_or_else(|| {
        Failure(format!("--notes {names}: give two notes with their octaves, as D4,B4 or Bb3,G4"))
    })
}
