//! `draw`: the staff, the hair map and the levels on pages. The ending of the file chooses the format.

use std::path::{Path, PathBuf};

use crate::{
    bowing::Density,
    picture::{FORMATS, Format, Paper, Theme, sheet},
};

use super::{
    Failure,
    input::{Source, study},
    output::{Output, write_file},
    progress::Progress,
    said::Results,
};

#[derive(clap::Args, Debug)]
pub(super) struct Args {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub output: Output,
    /// Pencil marks over the staff
    #[arg(long, value_enum, default_value = "worth")]
    pub pencil: PencilChoice,
    /// Colours
    #[arg(long, value_enum, default_value = "print")]
    pub theme: ThemeChoice,
}

#[derive(clap::ValueEnum, Clone, Copy, Debug)]
pub(super) enum PencilChoice {
    /// None
    None,
    /// What must be told
    Must,
    /// Also what is worth telling
    Worth,
    /// Also what is told if time allows
    All,
}

impl From<PencilChoice> for Density {
    fn from(choice: PencilChoice) -> Self {
        match choice {
            PencilChoice::None => Self::None,
            PencilChoice::Must => Self::Must,
            PencilChoice::Worth => Self::Worth,
            PencilChoice::All => Self::All,
        }
    }
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

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    // Before any work is done.
    let format = format_of(&args.output.path)?;
    let study = study(&args.source)?;
    let pages = sheet(&study, None, Paper::A4_LANDSCAPE, args.pencil.into());
    let count = pages.len();
    let path = &args.output.path;
    let paths: Vec<PathBuf> = match format.count(count) {
        1 => vec![path.clone()],
        many => (1..=many).map(|number| numbered(path, number)).collect(),
    };
    for path in &paths {
        args.output.over.check(path, &args.source, format.is_one)?;
    }
    let mut progress = Progress::new("drawing pages");
    let pages = pages.enumerate().map(|(index, page)| {
        progress.tell(index as f64 / count as f64);
        page
    });
    for (path, file) in paths.iter().zip(format.files(pages, args.theme.theme())) {
        write_file(path, &file.map_err(|error| Failure::from_error(&error))?)?;
        out.print(&format!("{}\n", path.display()));
    }
    Ok(0)
}

/// "part.svg" and 2 give "part-2.svg".
fn numbered(path: &Path, number: usize) -> PathBuf {
    let stem = path.file_stem().unwrap_or_default().to_string_lossy();
    let ending = path.extension().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!("{stem}-{number}.{ending}"))
}
