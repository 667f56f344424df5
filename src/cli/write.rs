//! `write`: the bowing of a lesson in a score file.

use std::path::{Path, PathBuf};

use crate::{
    analysis::Study,
    bowing::Density,
    exchange::{
        LIMIT,
        musicxml::{self, WrittenBack, pack, write_back, write_new},
        read_file, sentence,
    },
};

use super::{
    Failure,
    draw::PencilChoice,
    input::{Source, load, print_report},
    output::Output,
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
    /// Write pencil marks and fixed places on the bow as words over the staff
    #[arg(long, value_enum, default_value = "none")]
    pub pencil: PencilChoice,
}

/// How the music stands in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Plain,
    Compressed,
}

impl Kind {
    fn of_name(path: &Path) -> Result<Self, Failure> {
        match path.extension().and_then(|ending| ending.to_str()).map(str::to_lowercase).as_deref() {
            Some("musicxml" | "xml") => Ok(Self::Plain),
            Some("mxl") => Ok(Self::Compressed),
            _ => Err(Failure(format!(
                "-o {}: the ending chooses the format; it must be .musicxml, .xml or .mxl",
                path.display()
            ))),
        }
    }

    fn of_bytes(bytes: &[u8]) -> Self {
        if musicxml::is_archive(bytes) { Self::Compressed } else { Self::Plain }
    }
}

fn is_music(bytes: &[u8]) -> bool {
    let text = bytes.trim_ascii_start();
    musicxml::is_archive(bytes) || text.starts_with(b"<") || text.starts_with(b"\xEF\xBB\xBF<")
}

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    let path = &args.output.path;
    // Before any work is done.
    let kind = Kind::of_name(path)?;
    args.output.check(path, &args.source, is_music)?;
    let input = load(&args.source)?;
    print_report(&input.report, &[] as &[&str]);
    let study = Study::new(input.lesson);
    let pencil = Density::from(args.pencil);
    let into = if args.new { None } else { score_file(args, &study)? };
    let Some((file, part)) = into else {
        let xml = write_new(&study, pencil);
        let bytes = if kind == Kind::Compressed { packed(&xml)? } else { xml };
        Output::write(path, &bytes)?;
        out.print(&format!("A new file: {}\n", path.display()));
        return Ok(0);
    };
    let source = read_file(&file, LIMIT).map_err(|error| told(&error, &file))?;
    let document = musicxml::open(&source).map_err(|error| told(&error, &file))?;
    let part = document.part_of(&part).map_err(|error| told(&error, &file))?;
    let written = write_back(&study, &source, part, pencil).map_err(|error| told(&error, &file))?;
    let WrittenBack { bytes, changes, left } = written;
    let bytes = match (Kind::of_bytes(&bytes), kind) {
        (Kind::Plain, Kind::Compressed) => packed(&bytes)?,
        (Kind::Compressed, Kind::Plain) => musicxml::unpack(&bytes).map_err(|error| told(&error, &file))?,
        _ => bytes,
    };
    Output::write(path, &bytes)?;
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

fn packed(xml: &[u8]) -> Result<Vec<u8>, Failure> {
    pack(xml).map_err(|error| Failure::from_error(&error))
}

fn told(error: &dyn std::error::Error, file: &Path) -> Failure {
    Failure(format!("{}\n  in {}", sentence(error), file.display()))
}

/// The score file to write into, and the part in it; none for a lesson that was typed in.
fn score_file(args: &Args, study: &Study) -> Result<Option<(PathBuf, String)>, Failure> {
    let source = study.lesson().source.as_ref();
    let part = || args.source.part.clone().or_else(|| source.map(|source| source.part.clone()));
    if let Some(into) = &args.into {
        let part =
            part().ok_or_else(|| Failure("--part must say which part of the score it is".to_owned()))?;
        return Ok(Some((into.clone(), part)));
    }
    let (Some(source), Some(part)) = (source, part()) else { return Ok(None) };
    let there = PathBuf::from(&source.file);
    let folder = args.source.file.parent().unwrap_or(Path::new(""));
    let beside = there.file_name().map(|name| folder.join(name));
    [Some(there.clone()), beside]
        .into_iter()
        .flatten()
        .find(|path| path.is_file())
        .map(|path| Some((path, part)))
        .ok_or_else(|| {
            Failure(format!(
                "the score file the lesson was read from is not there any more; name it with --into, or write \
                 a new file with --new\n  {}",
                there.display()
            ))
        })
}
