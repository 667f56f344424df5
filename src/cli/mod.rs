//! The commands: the library without a window.
//!
//! Results go to standard output, messages to standard error. Exit code 0: fine; 1: `check` found
//! something that cannot be played or runs out; 2: bad use or bad input.

mod advise;
mod check;
mod draw;
mod exercise;
mod input;
mod levels;
mod notes;
mod plan;
mod suggest;

use std::{io::Write as _, path::PathBuf, process::ExitCode};

use clap::{Args, Parser, Subcommand, ValueEnum};

use crate::{exchange::sentence, setup::Family};

/// Exit code of `check` when something cannot be played or runs out.
const FOUND: u8 = 1;
/// Exit code for bad use or bad input.
const BAD: u8 = 2;

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
    command: Option<Command>,
    /// MusicXML file (.musicxml, .xml, .mxl) or lesson file (.elbowroom) to open in the window
    file: Option<PathBuf>,
}

#[derive(Subcommand, Debug)]
enum Command {
    /// List the notes that were read
    Notes {
        #[command(flatten)]
        source: Source,
        /// Print JSON
        #[arg(long)]
        json: bool,
    },
    /// List what cannot be played, runs out, is tight, or is worth a look
    Check {
        #[command(flatten)]
        source: Source,
        /// Order of the list
        #[arg(long, value_enum, default_value = "music")]
        order: Order,
        /// Print JSON
        #[arg(long)]
        json: bool,
    },
    /// List what may cure each finding, tried for real, with what it leaves
    Advise {
        #[command(flatten)]
        source: Source,
        /// Only findings in these bars, by printed number
        #[arg(long, value_name = "BAR", num_args = 1..)]
        at: Vec<String>,
        /// Print JSON
        #[arg(long)]
        json: bool,
    },
    /// Tell what works at which tempo, from half the marked tempo upward, and how to practise slowly
    Ladder {
        #[command(flatten)]
        source: Source,
        /// Print JSON
        #[arg(long)]
        json: bool,
    },
    /// Print the plan: from where to where on the hair each note goes
    Plan {
        #[command(flatten)]
        source: Source,
        /// Print the problem and the answer as JSON, lengths in mm, times in s
        #[arg(long)]
        json: bool,
    },
    /// Suggest other bowings, with what speaks for and against each
    Suggest(SuggestArgs),
    /// Write an exercise as a lesson file: step by step up to the double stops of a part
    Exercise(ExerciseArgs),
    /// Print the bow planes of an instrument
    Levels(LevelsArgs),
    /// Draw the staff, the hair map and the levels
    Draw {
        #[command(flatten)]
        source: Source,
        /// File to write; the ending chooses the format: .svg, .pdf or .png
        #[arg(short, long, value_name = "OUT")]
        output: PathBuf,
        /// Colours
        #[arg(long, value_enum, default_value = "print")]
        theme: ThemeChoice,
    },
}

#[derive(Args, Debug)]
struct Source {
    /// MusicXML file, lesson file, "demo" for the built-in demo, or "-" for standard input
    file: PathBuf,
    /// Part, by number from 1 or by name
    #[arg(long)]
    part: Option<String>,
    /// Quarter notes a minute to practise at; the marked tempo otherwise
    #[arg(long, value_name = "QPM")]
    tempo: Option<f64>,
    /// Instrument; otherwise taken from the file
    #[arg(long, value_enum)]
    instrument: Option<InstrumentChoice>,
}

#[derive(Args, Debug)]
struct SuggestArgs {
    #[command(flatten)]
    source: Source,
    /// What may be changed
    #[arg(long, value_enum, default_value = "splits")]
    may_change: MayChange,
    /// Bars that may be bowed anew, as 5 or 5-8; all otherwise
    #[arg(long)]
    bars: Option<String>,
    /// Number of answers at most
    #[arg(long, default_value = "3", value_parser = clap::value_parser!(u8).range(1..=5))]
    answers: u8,
    /// Lesson file to write with the first answer in it
    #[arg(long, value_name = "OUT")]
    save_best: Option<PathBuf>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

#[derive(Args, Debug)]
struct ExerciseArgs {
    #[command(flatten)]
    source: Source,
    /// Two notes to be played together, as D4,B4, in place of those of the part; may be repeated
    #[arg(long, value_name = "NOTES")]
    notes: Vec<String>,
    /// The first double stops of the instrument in place of those of the part
    #[arg(long, conflicts_with = "notes")]
    first: bool,
    /// Lesson file to write
    #[arg(short, long, value_name = "OUT")]
    output: PathBuf,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum MayChange {
    /// Directions and retakes
    Directions,
    /// Also split slurs, and hook notes
    Splits,
    /// Also join notes in one bow
    All,
}

#[derive(Args, Debug)]
struct LevelsArgs {
    /// Instrument
    #[arg(long, value_enum, default_value = "viola")]
    instrument: InstrumentChoice,
    /// Radius of the bridge curve, mm
    #[arg(long, value_name = "MM")]
    radius: Option<f64>,
    /// Distance from outer string to outer string, mm
    #[arg(long, value_name = "MM")]
    spread: Option<f64>,
    /// Height of the lowest string over the end of the fingerboard, mm
    #[arg(long, value_name = "MM")]
    low_height: Option<f64>,
    /// Height of the highest string over the end of the fingerboard, mm
    #[arg(long, value_name = "MM")]
    high_height: Option<f64>,
    /// How far the instrument is rolled toward its highest string, degrees
    #[arg(long, value_name = "DEGREES", allow_negative_numbers = true)]
    roll: Option<f64>,
    /// Print JSON
    #[arg(long)]
    json: bool,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum InstrumentChoice {
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

/// In which order findings are listed.
#[derive(ValueEnum, Clone, Copy, Debug)]
enum Order {
    /// As they come in the music
    Music,
    /// The worst and most plainly heard first
    Worst,
}

#[derive(ValueEnum, Clone, Copy, Debug)]
enum ThemeChoice {
    Print,
    Light,
    Dark,
    Projector,
}

/// A message for standard error.
#[derive(Debug, thiserror::Error)]
#[error("{0}")]
struct Failure(String);

impl Failure {
    /// A failure with its whole chain of causes.
    fn from_error(error: &dyn std::error::Error) -> Self {
        Self(sentence(error))
    }
}

/// What the program was asked for.
#[derive(Debug)]
pub enum Asked {
    /// Open the window, on a file or on the demo.
    Window(Option<PathBuf>),
    /// A command ran; leave with this code.
    Done(ExitCode),
}

/// Reads the arguments and runs the command, if there is one.
pub fn run(args: impl IntoIterator<Item = std::ffi::OsString>) -> Asked {
    let cli = match Cli::try_parse_from(args) {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are answers, not failures. A closed pipe is nobody's fault.
            let _ = error.print();
            return Asked::Done(ExitCode::from(if error.use_stderr() { BAD } else { 0 }));
        }
    };
    let Some(command) = cli.command else {
        return match cli.file {
            Some(file) if !file.exists() => {
                eprintln!(
                    "elbowroom: there is neither a command nor a file called {file:?}; --help lists the commands"
                );
                Asked::Done(ExitCode::from(BAD))
            }
            file => Asked::Window(file),
        };
    };
    let mut out = String::new();
    let result = match &command {
        Command::Notes { source, json } => notes::run(source, *json, &mut out).map(|()| 0),
        Command::Check { source, order, json } => check::run(source, *json, *order, &mut out),
        Command::Advise { source, at, json } => advise::advise(source, at, *json, &mut out).map(|()| 0),
        Command::Ladder { source, json } => advise::climb(source, *json, &mut out).map(|()| 0),
        Command::Plan { source, json } => plan::run(source, *json, &mut out).map(|()| 0),
        Command::Suggest(args) => suggest::run(args, &mut out).map(|()| 0),
        Command::Exercise(args) => exercise::run(args, &mut out).map(|()| 0),
        Command::Levels(args) => levels::run(args, &mut out).map(|()| 0),
        Command::Draw { source, output, theme } => draw::run(source, output, *theme, &mut out).map(|()| 0),
    };
    // A reader that closed the pipe has read enough.
    let _ = std::io::stdout().lock().write_all(out.as_bytes());
    Asked::Done(match result {
        Ok(code) => ExitCode::from(code),
        Err(failure) => {
            eprintln!("elbowroom: {failure}");
            ExitCode::from(BAD)
        }
    })
}
