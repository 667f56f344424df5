//! Reads the arguments and hands over.

use std::process::ExitCode;

use elbowroom::cli::{self, Asked};

fn main() -> ExitCode {
    match cli::run(std::env::args_os()) {
        Asked::Done(code) => code,
        Asked::Window(_) => ExitCode::from(2),
    }
}
