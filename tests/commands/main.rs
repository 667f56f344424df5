//! The commands, by running the binary.

#[path = "../common/data.rs"]
mod data;
#[path = "../common/music.rs"]
mod music;

mod answers;
mod fields;
mod film;
mod outputs;

use std::process::{Command, Output};

use serde_json::Value;

fn run(args: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_elbowroom")).args(args).output().expect("the binary runs")
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

fn json(args: &[&str]) -> Value {
    let output = run(args);
    assert!(output.status.success(), "{args:?}: {}", text(&output.stderr));
    serde_json::from_slice(&output.stdout).expect("standard output is JSON and nothing else")
}
