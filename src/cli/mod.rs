//! The commands: the library without a window.
//!
//! Results go to standard output, messages to standard error. Exit code 0: fine; 1: `check` found
//! something that cannot be played or runs out; 2: bad use or bad input.

mod advise;
mod answer;
mod args;
mod bars;
mod check;
mod draw;
mod exercise;
mod figures;
mod film;
mod handout;
mod input;
mod json;
mod ladder;
mod levels;
mod looks;
mod notes;
mod output;
mod pages;
mod pencil;
mod plan;
mod progress;
mod said;
mod sound;
mod suggest;
mod words;
mod write;

use std::{io, path::PathBuf, process::ExitCode};

use clap::Parser as _;

use crate::exchange::sentence;

use answer::Answer as _;
use args::Command;
use said::Results;

pub use args::Cli;
pub use said::complain;

/// Exit code of `check` when something cannot be played or runs out.
const FOUND: u8 = 1;
/// Exit code for bad use or bad input.
const BAD: u8 = 2;

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
            if let Some(why) = figures::refused(&error) {
                complain(why);
                return Asked::Done(ExitCode::from(BAD));
            }
            // Help and version are answers, not failures.
            let printed = said::enough(error.print());
            return Asked::Done(leave(if error.use_stderr() { BAD } else { 0 }, printed));
        }
    };
    let Some(command) = cli.command else {
        return match cli.file {
            Some(file) if !file.exists() => {
                complain(format_args!(
                    "there is neither a command nor a file called {file:?}; --help lists the commands"
                ));
                Asked::Done(ExitCode::from(BAD))
            }
            file => Asked::Window(file),
        };
    };
    let mut out = Results::new();
    let result = carry_out(&command, &mut out);
    let printed = out.end();
    let code = result.unwrap_or_else(|failure| {
        complain(failure);
        BAD
    });
    Asked::Done(leave(code, printed))
}

/// The exit code: what could not be printed was not answered.
fn leave(code: u8, printed: io::Result<()>) -> ExitCode {
    ExitCode::from(match printed {
        Ok(()) => code,
        Err(error) => {
            complain(format_args!("the results cannot be written: {error}"));
            BAD
        }
    })
}

/// Runs a command. What it prints goes to `out`; gives the exit code.
fn carry_out(command: &Command, out: &mut Results) -> Result<u8, Failure> {
    Ok(match command {
        Command::Notes(args) => notes::Notes::new(args)?.print(args.form, out),
        Command::Check(args) => check::Check::new(args)?.print(args.form, out),
        Command::Pencil(args) => pencil::Pencilled::new(args)?.print(args.form, out),
        Command::Words(args) => words::Worded::new(args)?.print(args.form, out),
        Command::Advise(args) => advise::Advice::new(args)?.print(args.form, out),
        Command::Ladder(args) => ladder::Climb::new(args)?.print(args.form, out),
        Command::Plan(args) => plan::Planned::new(args)?.print(args.form, out),
        Command::Suggest(args) => suggest::Suggested::new(args)?.print(args.form, out),
        Command::Levels(args) => levels::Levels::new(args)?.print(args.form, out),
        Command::Exercise(args) => exercise::run(args, out)?,
        Command::Draw(args) => draw::run(args, out)?,
        Command::Handout(args) => handout::run(args, out)?,
        Command::Film(args) => film::run(args, out)?,
        Command::Sound(args) => sound::run(args, out)?,
        Command::Write(args) => write::run(args, out)?,
    })
}
