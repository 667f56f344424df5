//! The fields of the JSON: people's scripts read these names, so that none changes unseen.

use std::{collections::BTreeMap, path::PathBuf};

use elbowroom::{
    exchange::lesson_file,
    lesson::change::{hair_pin, silence},
};
use serde_json::Value;

use crate::{
    music::{HALF, WHOLE, taken, violin, written},
    run, text,
};

/// Types seen, by the path of the field; "[]" stands behind a list.
type Fields = BTreeMap<String, Vec<&'static str>>;

fn collect(value: &Value, path: &str, fields: &mut Fields) {
    let kind = match value {
        Value::Null => "none",
        Value::Bool(_) => "yes/no",
        Value::Number(_) => "number",
        Value::String(_) => "text",
        Value::Array(items) => {
            items.iter().for_each(|item| collect(item, &format!("{path}[]"), fields));
            "list"
        }
        Value::Object(members) => {
            for (name, member) in members {
                let dot = if path.is_empty() { "" } else { "." };
                collect(member, &format!("{path}{dot}{name}"), fields);
            }
            "object"
        }
    };
    let kinds = fields.entry(path.to_owned()).or_default();
    if !kinds.contains(&kind) {
        kinds.push(kind);
        kinds.sort_unstable();
    }
}

/// A lesson in which every list has something in it: a bow too short for the slurs and, for a player of
/// short breath, for a whole note; a place on the bow; a finding that is not to be told.
fn full(folder: &tempfile::TempDir) -> PathBuf {
    let slurs =
        (0..4).fold(violin(), |writer, _| (0..3).fold(writer, |writer, _| writer.note("A4", HALF)).slur(3));
    let (mut lesson, notes) = written(slurs.note("A4", WHOLE).note("A4", WHOLE));
    lesson = taken(&lesson, hair_pin(&lesson, notes[0], Some((0.1, 0.1))));
    lesson.setup.player.slowest_whole_bow_s = 3.5;
    let found = elbowroom::analysis::analyse(&lesson);
    let last = found.findings.told.last().expect("the bow is too short");
    lesson = taken(&lesson, silence(&lesson, last.kind.id(), &[last.event], Some("practised later")));
    let path = folder.path().join("full.elbowroom");
    lesson_file::save(&path, &lesson).expect("saved");
    path
}

/// The fields a command prints of the demo and of a lesson that has everything.
fn printed(args: &[&str]) -> Fields {
    let folder = tempfile::tempdir().expect("a folder");
    let full = full(&folder);
    let mut fields = Fields::new();
    for file in ["demo", full.to_str().expect("a plain path")] {
        let args: Vec<&str> = args.iter().map(|arg| if *arg == "FILE" { file } else { arg }).collect();
        let output = run(&args);
        let value = serde_json::from_slice(&output.stdout);
        collect(&value.unwrap_or_else(|_| panic!("{args:?}: {}", text(&output.stderr))), "", &mut fields);
    }
    fields.remove("");
    fields
}

/// The fields that the help of a command tells of, as paths without signs for lists.
fn told(command: &str) -> Vec<String> {
    let help = text(&run(&[command, "--help"]).stdout);
    let (_, list) = help.split_once("With --json:\n").expect("the help lists the fields");
    let mut path: Vec<&str> = Vec::new();
    let lines = list.lines().filter(|line| !line.is_empty()).map(|line| {
        let depth = (line.len() - line.trim_start().len()) / 2;
        let mut words = line.split_whitespace();
        path.truncate(depth - 1);
        path.push(words.next().expect("a name"));
        assert!(words.count() > 2, "{command}: {line}");
        path.join(".")
    });
    let mut told: Vec<String> = lines.collect();
    told.sort();
    told
}

fn check(args: &[&str]) {
    let fields = printed(args);
    let mut names: Vec<String> = fields.keys().map(|path| path.replace("[]", "")).collect();
    names.dedup();
    names.sort();
    names.dedup();
    assert_eq!(told(args[0]), names, "what the help of {} tells, and what is printed", args[0]);
    let lines: Vec<String> =
        fields.iter().map(|(path, kinds)| format!("{path}: {}", kinds.join(" or "))).collect();
    insta::assert_snapshot!(args[0], lines.join("\n"));
}

#[test]
fn the_fields_of_pencil() {
    check(&["pencil", "FILE", "--json"]);
}

#[test]
fn the_fields_of_words() {
    check(&["words", "FILE", "--json"]);
}

#[test]
fn the_fields_of_notes() {
    check(&["notes", "FILE", "--json"]);
}

#[test]
fn the_fields_of_check() {
    check(&["check", "FILE", "--json"]);
}

#[test]
fn the_fields_of_advise() {
    check(&["advise", "FILE", "--json"]);
}

#[test]
fn the_fields_of_ladder() {
    check(&["ladder", "FILE", "--json"]);
}

#[test]
fn the_fields_of_plan() {
    check(&["plan", "FILE", "--json"]);
}

#[test]
fn the_fields_of_suggest() {
    check(&["suggest", "FILE", "--bars", "1-2", "--json"]);
}

#[test]
fn the_fields_of_levels() {
    check(&["levels", "--json"]);
}
