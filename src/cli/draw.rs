//! `draw`: the staff, the hair map and the levels on pages. The ending of the file chooses the format.

use crate::{
    bowing::Density,
    picture::{Paper, Theme, sheet},
};

use super::{
    Failure,
    input::{Source, study},
    output::Output,
    pages::{format_of, write_pages},
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

pub(super) fn run(args: &Args, out: &mut Results) -> Result<u8, Failure> {
    // Before any work is done.
    let format = format_of(&args.output.path)?;
    let study = study(&args.source)?;
    let pages = sheet(&study, None, Paper::A4_LANDSCAPE, args.pencil.into());
    write_pages(format, pages, args.theme.theme(), (&args.output, &args.source), out)?;
    Ok(0)
}
