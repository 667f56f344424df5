//! `draw`: the staff, the hair map and the levels on pages.

use std::path::{Path, PathBuf};

use crate::{
    exchange::lesson_file::write_whole,
    picture::{FORMATS, Format, Paper, Theme, sheet},
};

use super::{
    Failure,
    input::{Source, study},
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    /// File to write; the ending chooses the format: .svg, .pdf or .png
    #[arg(short, long, value_name = "OUT")]
    pub output: PathBuf,
    /// Colours
    #[arg(long, value_enum, default_value = "print")]
    pub theme: ThemeChoice,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum ThemeChoice {
    Print,
    Light,
    Dark,
    Projector,
}

impl ThemeChoice {
    pub fn theme(self) -> &'static Theme {
        match self {
            Self::Print => &Theme::PRINT,
            Self::Light => &Theme::LIGHT,
            Self::Dark => &Theme::DARK,
            Self::Projector => &Theme::PROJECTOR,
        }
    }
}

/// The format that the ending of a file names.
fn format_of(path: &Path) -> Result<&'static Format, Failure> {
    let ending = path.extension().and_then(|ending| ending.to_str()).unwrap_or("");
    Format::of_ending(ending).ok_or_else(|| {
        let endings: Vec<String> = FORMATS.iter().map(|format| format!(".{}", format.ending)).collect();
        let path = path.display();
        Failure(format!("-o {path}: the ending chooses the format; it must be {}", endings.join(" or ")))
    })
}

pub(super) fn run(args: &Args, out: &mut String) -> Result<u8, Failure> {
    // Before any work is done.
    let format = format_of(&args.output)?;
    let pages = sheet(&study(&args.source)?, None, Paper::A4_LANDSCAPE);
    let files = format.files(&pages, args.theme.theme()).map_err(|error| Failure::from_error(&error))?;
    let alone = files.len() == 1;
    for (number, bytes) in (1..).zip(files) {
        let path = if alone { args.output.clone() } else { numbered(&args.output, number) };
        write_whole(&path, &bytes)
            .map_err(|error| Failure(format!("the file cannot be written: {error}\n  {}", path.display())))?;
        out.push_str(&format!("{}\n", path.display()));
    }
    Ok(0)
}

/// "part.svg" and 2 give "part-2.svg".
fn numbered(path: &Path, number: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{number}.{ending}"))
}
