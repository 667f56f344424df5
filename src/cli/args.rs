//! The arguments.

use std::path::PathBuf;

use clap::{Parser, Subcommand};

use super::{
    advise, check, draw, exercise, handout, json, ladder, levels, notes, pencil, plan, sound, suggest, words,
    write,
};

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
    #[command(after_long_help = json::fields::<notes::Json<'static>>())]
    Notes(notes::Args),
    /// List what cannot be played, runs out, is tight, or is worth a look
    #[command(after_long_help = json::fields::<check::Json>())]
    Check(check::Args),
    /// List what a teacher would write over the notes: where to start, save, lift, lean
    #[command(after_long_help = json::fields::<pencil::Json>())]
    Pencil(pencil::Args),
    /// Tell a passage in words, as a teacher goes through it with a pupil: where to start, where the bow goes, what to watch
    #[command(after_long_help = json::fields::<words::Json>())]
    Words(words::Args),
    /// List what may cure each finding, tried for real, with what it leaves
    #[command(after_long_help = json::fields::<advise::Json>())]
    Advise(advise::Args),
    /// Tell what works at which tempo, from half the marked tempo upward, and how to practise slowly
    #[command(after_long_help = json::fields::<ladder::Json>())]
    Ladder(ladder::Args),
    /// Print the plan: from where to where on the hair each note goes
    #[command(after_long_help = json::fields::<plan::Json<'static>>())]
    Plan(plan::Args),
    /// Suggest other bowings, with what speaks for and against each
    #[command(after_long_help = json::fields::<suggest::Json>())]
    Suggest(suggest::Args),
    /// Write an exercise as a lesson file: step by step up to the double stops of a part
    Exercise(exercise::Args),
    /// Write the bowing back into the score file it came from, or into a new one
    Write(write::Args),
    /// Print the bow planes of an instrument
    #[command(after_long_help = json::fields::<levels::Json>())]
    Levels(levels::Args),
    /// Draw the staff, the hair map and the levels; the ending of OUT chooses the format: .svg, .pdf or .png
    Draw(draw::Args),
    /// Set what the pupil takes home on pages; the ending of OUT chooses the format: .svg, .pdf or .png
    Handout(handout::Args),
    /// Write a practice track as a WAV file: some bars with a click, at one tempo or from tempo to tempo
    Sound(sound::Args),
}
