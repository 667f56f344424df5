//! What a command answers, in every form in which it can be printed.

use schemars::JsonSchema;
use serde::Serialize;

use super::{json, said::Results};

/// In which form an answer is printed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Form {
    /// Lines for people.
    Text,
    /// For programs.
    Json,
}

#[derive(clap::Args, Clone, Copy, Debug)]
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

/// What a command found out.
pub(super) trait Answer {
    /// The fields for programs. Their comments stand in the help of the command.
    type Json<'a>: Serialize + JsonSchema
    where
        Self: 'a;

    fn json(&self) -> Self::Json<'_>;

    /// Lines for people.
    fn text(&self) -> String;

    /// The exit code with which the program leaves.
    fn code(&self) -> u8 {
        0
    }

    /// Prints it; tells the exit code.
    fn print(&self, form: impl Into<Form>, out: &mut Results) -> u8 {
        match form.into() {
            Form::Text => out.print(&self.text()),
            Form::Json => out.write(|out| json::write(self.json(), out)),
        }
        self.code()
    }
}
