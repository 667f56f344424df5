//! The arguments.

use std::path::PathBuf;

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::{picture::Theme, setup::Family};

use super::{advise, check, json, ladder, levels, notes, plan, suggest};

/// Plan the bow: where each note starts and ends on the hair, where the bow runs out, how high the
/// arm is.
#[derive(Parser, Debug)]
#[command(
    name = "elbowroom",
    version,
    after_help = "Without a command the window opens, on FILE if one is given, else on the built-in demo.\n\n\
        Exit codes: 0 fine; 1 check found something that cannot be played or runs out; 2 bad use or bad input.\n\n\
        Examples:\n  elbowroom\n  elbowroom quartet.mxl\n  elbowroom check quartet.mxl --part viola\n  \
        elbowroom plan demo --json\n  elbowroom suggest demo --bars 7-8\n  elbowroom draw demo -o demo.pdf"
)]
pub struct Cli {
    #[command(subcommand)]
    pub(super) command: Option<Command>,
    /// MusicXML file (.musicxml, .xml, .mxl) or lesson file (.elbowroom) to open in the window
    pub(super) file: Option<PathBuf>,
}

#[derive(Subcommand, Debug)]
pub(super) enum Command {
    /// List the notes that were read
    #[command(after_long_help = json::fields::<notes::Json>())]
    Notes(NotesArgs),
    /// List what cannot be played, runs out, is tight, or is worth a look
    #[command(after_long_help = json::fields::<check::Json>())]
    Check(CheckArgs),
    /// List what may cure each finding, tried for real, with what it leaves
    #[command(after_long_help = json::fields::<advise::Json>())]
    Advise(AdviseArgs),
    /// Tell what works at which tempo, from half the marked tempo upward, and how to practise slowly
    #[command(after_long_help = json::fields::<ladder::Json>())]
    Ladder(LadderArgs),
    /// Print the plan: from where to where on the hair each note goes
    #[command(after_long_help = json::fields::<plan::Json>())]
    Plan(PlanArgs),
    /// Suggest other bowings, with what speaks for and against each
    #[command(after_long_help = json::fields::<suggest::Json>())]
    Suggest(SuggestArgs),
    /// Write an exercise as a lesson file: step by step up to the double stops of a part
    Exercise(ExerciseArgs),
    /// Print the bow planes of an instrument
    #[command(after_long_help = json::fields::<levels::Json>())]
    Levels(LevelsArgs),
    /// Draw the staff, the hair map and the levels
    Draw(DrawArgs),
}

/// What is read, and for whom.
#[derive(Args, Debug)]
pub(super) struct Source {
    /// MusicXML file, lesson file, "demo" for the built-in demo, or "-" for standard input
    pub file: PathBuf,
    /// Part, by number from 1 or by name
    #[arg(long)]
    pub part: Option<String>,
    /// Quarter notes a minute to practise at; the marked tempo otherwise
    #[arg(long, value_name = "QPM")]
    pub tempo: Option<f64>,
    /// Instrument; otherwise taken from the file
    #[arg(long, value_enum)]
    pub instrument: Option<InstrumentChoice>,
}

/// In which form an answer is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// Lines for people.
    Text,
    /// For programs.
    Json,
}

#[derive(Args, Clone, Copy, Debug)]
pub(super) struct FormArgs {
    /// Print JSON; the long help lists its fields
    #[arg(long)]
    json: bool,
}

impl From<FormArgs> for Form {
    fn from(args: FormArgs) -> Self {
        if args.json { Self::Json } else { Self::Text }
    }
}

#[derive(Args, Debug)]
pub(super) struct NotesArgs {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub form: FormArgs,
}

#[derive(Args, Debug)]
pub(super) struct CheckArgs {
    #[command(flatten)]
    pub source: Source,
    /// Order of the list
    #[arg(long, value_enum, default_value = "music")]
    pub order: Order,
    #[command(flatten)]
    pub form: FormArgs,
}

/// In which order findings are listed.
#[derive(ValueEnum, Clone, Copy, Debug)]
pub(super) enum Order {
    /// As they come in the music
    Music,
    /// The worst and most plainly heard first
    Worst,
}

#[derive(Args, Debug)]
pub(super) struct AdviseArgs {
    #[command(flatten)]
    pub source: Source,
    /// Only findings in these bars, by printed number
    #[arg(long, value_name = "BAR", num_args = 1..)]
    pub at: Vec<String>,
    #[command(flatten)]
    pub form: FormArgs,
}

#[derive(Args, Debug)]
pub(super) struct LadderArgs {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub form: FormArgs,
}

#[derive(Args, Debug)]
pub(super) struct PlanArgs {
    #[command(flatten)]
    pub source: Source,
    #[command(flatten)]
    pub form: FormArgs,
}

#[derive(Args, Debug)]
pub(super) struct SuggestArgs {
    #[command(flatten)]
    pub source: Source,
    /// What may be changed
    #[arg(long, value_enum, default_value = "splits")]
    pub may_change: MayChange,
    /// Bars that may be bowed anew, as 5 or 5-8; all otherwise
    #[arg(long)]
    pub bars: Option<String>,
    /// Number of answers at most
    #[arg(long, default_value = "3", value_parser = clap::value_parser!(u8).range(1..=5))]
    pub answers: u8,
    /// Lesson file to write with the first answer in it
    #[arg(long, value_name = "OUT")]
    pub save_best: Option<PathBuf>,
    #[command(flatten)]
    pub form: FormArgs,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
pub(super) enum MayChange {
    /// Directions and retakes
    Directions,
    /// Also split slurs, and hook notes
    Splits,
    /// Also join notes in one bow
    All,
}

#[derive(Args, Debug)]
pub(super) struct ExerciseArgs {
    #[command(flatten)]
    pub source: Source,
    /// Two notes to be played together, as D4,B4, in place of those of the part; may be repeated
    #[arg(long, value_name = "NOTES")]
    pub notes: Vec<String>,
    /// The first double stops of the instrument in place of those of the part
    #[arg(long, conflicts_with = "notes")]
    pub first: bool,
    /// Lesson file to write
    #[arg(short, long, value_name = "OUT")]
    pub output: PathBuf,
}

#[derive(Args, Debug)]
pub(super) struct LevelsArgs {
    /// Instrument
    #[arg(long, value_enum, default_value = "viola")]
    pub instrument: InstrumentChoice,
    /// Radius of the bridge curve, mm
    #[arg(long, value_name = "MM")]
    pub radius: Option<f64>,
    /// Distance from outer string to outer string, mm
    #[arg(long, value_name = "MM")]
    pub spread: Option<f64>,
    /// Height of the lowest string over the end of the fingerboard, mm
    #[arg(long, value_name = "MM")]
    pub low_height: Option<f64>,
    /// Height of the highest string over the end of the fingerboard, mm
    #[arg(long, value_name = "MM")]
    pub high_height: Option<f64>,
    /// How far the instrument is rolled toward its highest string, degrees
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    pub roll: Option<f64>,
    #[command(flatten)]
    pub form: FormArgs,
}

#[derive(Args, Debug)]
pub(super) struct DrawArgs {
    #[command(flatten)]
    pub source: Source,
    /// File to write; the ending chooses the format: .svg, .pdf or .png
    #[arg(short, long, value_name = "OUT")]
    pub output: PathBuf,
    /// Colours
    #[arg(long, value_enum, default_value = "print")]
    pub theme: ThemeChoice,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
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

#[derive(ValueEnum, Clone, Copy, Debug)]
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
