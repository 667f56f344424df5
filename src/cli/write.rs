//! `write`: the bowing of a lesson in a score file.

use std::path::{Path, PathBuf};

use crate::{
    analysis::Study,
    bowing::Density,
    exchange::{
        musicxml::{self, BackError, Besides, OtherParts, Places, WrittenBack},
        score_file::{IntoScore, ScoreFileError, ScoreKind, score_bytes},
        sentence,
    },
};

use super::{
    Failure,
    input::{Source, load, print_report},
    output::{Output, write_file},
    said::Results,
};

/// Lines about what a file does not say before the rest is only counted. Assumed.
const LINES: usize = 20;

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub output: Output,
    /// The score file to write into, where it is not where the lesson was read from
    #[arg(long, value_name = "SCORE", conflicts_with = "new")]
    pub into: Option<PathBuf>,
    /// Write a new file with this part alone
    #[arg(long)]
    pub new: bool,
    /// Where the lesson has more or fewer bars than the score, put bars of rest into the other parts too, or cut
    /// the same bars out of them
    #[arg(long, conflicts_with = "new")]
    pub all_parts: bool,
    /// Write pencil marks and fixed places on the bow as words over the staff
    #[arg(long, value_enum, default_value = "none")]
    pub pencil: Density,
    /// Write where on the bow over the staff: as words where the part of the bow changes, or as a small sign at the
    /// start of each bow, with a legend; those written so before are replaced
    #[arg(long, value_enum, default_value = "none")]
    pub places: PlacesChoice,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum PlacesChoice {
    None,
    Words,
    Signs,
}

impl From<PlacesChoice> for Places {
    fn from(choice: PlacesChoice) -> Self {
        match choice {
            PlacesChoice::None => Self::None,
            PlacesChoice::Words => Self::Words,
            PlacesChoice::Signs => Self::Signs,
        }
    }
}

fn kind_of(path: &Path) -> Result<ScoreKind, Failure> {
    ScoreKind::of_name(path).ok_or_else(|| {
        Failure(format!(
            "-o {}: the ending chooses the format; it must be .musicxml, .xml or .mxl",
            path.display()
        ))
    })
}

fn is_music(bytes: &[u8]) -> bool {
    let text = bytes.trim_ascii_start();
    musicxml::is_archive(bytes) || text.starts_with(b"<") || text.starts_with(b"\xEF\xBB\xBF<")
}

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    let path = &args.output.path;
    // Before any work is done.
    let kind = kind_of(path)?;
    args.output.over.check(path, &args.source, is_music)?;
    let input = load(&args.source)?;
    print_report(&input.report, &[] as &[&str]);
    let study = Study::new(input.lesson);
    let besides = Besides { pencil: args.pencil, places: args.places.into() };
    let into = if args.new { None } else { score_file(args, &study)? };
    let written = score_bytes(&study, into.as_ref(), kind, besides);
    let Some(IntoScore { file, .. }) = into else {
        write_file(path, &written.map_err(|error| Failure::from_error(&error))?.bytes)?;
        out.print(&format!("A new file: {}\n", path.display()));
        return Ok(0);
    };
    let WrittenBack { bytes, changes, left } = written.map_err(|error| {
        let asks = matches!(error, ScoreFileError::Back(BackError::OtherBars { may_follow: true, .. }));
        let hint = if asks { "; --all-parts does it in all of them" } else { "" };
        Failure(format!("{}{hint}\n  in {}", sentence(&error), file.display()))
    })?;
    write_file(path, &bytes)?;
    let word = if changes == 1 { "change" } else { "changes" };
    let mut text = format!("{changes} {word} in {}, written to {}\n", file.display(), path.display());
    if !left.is_empty() {
        text += "What the file does not say as the lesson does:\n";
        for line in left.iter().take(LINES) {
            text += &format!("  {line}\n");
        }
        if left.len() > LINES {
            text += &format!("  and {} more\n", left.len() - LINES);
        }
    }
    out.print(&text);
    Ok(0)
}

/// The score file to write into, and the part in it; none for a lesson that was typed in.
fn score_file(args: &Args, study: &Study) -> Result<Option<IntoScore>, Failure> {
    let lesson = study.lesson();
    let own = args.source.part.clone();
    let others = if args.all_parts { OtherParts::Follow } else { OtherParts::Stay };
    if let Some(file) = args.into.clone() {
        let part = own.or_else(|| lesson.source.as_ref().map(|source| source.part.clone()));
        let part = part.ok_or_else(|| Failure("--part must say which part of the score it is".to_owned()))?;
        return Ok(Some(IntoScore { file, part, others }));
    }
    let folder = args.source.file.parent().unwrap_or(Path::new(""));
    let into = IntoScore::of(lesson, folder).map_err(|error| match error {
        ScoreFileError::Gone(there) => Failure(format!(
            "the score file the lesson was read from is not there any more; name it with --into, or write a new \
             file with --new\n  {}",
            there.display()
        )),
        other => Failure::from_error(&other),
    })?;
    Ok(into.map(|into| IntoScore { part: own.unwrap_or(into.part), others, ..into }))
}
