//! Reads the arguments and hands over.

use std::process::ExitCode;

use elbowroom::{
    cli::{self, Asked},
    desk,
};

fn main() -> ExitCode {
    match cli::run(std::env::args_os()) {
        Asked::Done(code) => code,
        Asked::Window(file) => match desk::run(file) {
            Ok(()) => ExitCode::SUCCESS,
            Err(error) => {
                cli::complain(error);
                ExitCode::from(2)
            }
        },
    }
}
