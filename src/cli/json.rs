//! JSON for programs: one object a command. Its fields are those of a struct beside the command; their
//! comments are what `--help` says of them.
//!
//! Programs read these names. A new field may come at any time; where one goes or gets another
//! meaning, [`FORMAT`] grows.

use std::{fmt::Write as _, io};

use schemars::{JsonSchema, generate::SchemaSettings};
use serde::{Serialize, Serializer};
use serde_json::Value;

/// Number of the format.
const FORMAT: u32 = 2;

/// What is printed: the number of the format, then the fields of the command.
#[derive(Serialize, JsonSchema)]
struct Printed<T> {
    /// Number of this format; grows when a field goes or changes
    format: u32,
    #[serde(flatten)]
    answer: T,
}

/// Writes an answer as pretty JSON with a line end.
pub(super) fn write(answer: impl Serialize, out: &mut dyn io::Write) -> io::Result<()> {
    serde_json::to_writer_pretty(&mut *out, &Printed { format: FORMAT, answer })?;
    out.write_all(b"\n")
}

/// A list whose entries are made as they are printed: one of a long part does not stand in memory.
pub(super) struct Each<'a, T> {
    count: usize,
    entry: Box<dyn Fn(usize) -> T + 'a>,
}

impl<'a, T> Each<'a, T> {
    /// A list of so many entries, each made from its place.
    pub fn new(count: usize, entry: impl Fn(usize) -> T + 'a) -> Self {
        Self { count, entry: Box::new(entry) }
    }
}

impl<T: Serialize> Serialize for Each<'_, T> {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_seq((0..self.count).map(&self.entry))
    }
}

/// A length or time rounded to a millionth, so that no float dust is printed.
pub(super) fn rounded(value: f64) -> f64 {
    (value * 1e6).round() / 1e6
}

/// The fields of an answer for the help of its command: name, type, meaning; what an object in a list
/// holds stands indented under the list.
pub(super) fn fields<T: JsonSchema>() -> String {
    let settings = SchemaSettings::default().with(|settings| settings.inline_subschemas = true);
    let schema = settings.into_generator().into_root_schema_for::<Printed<T>>();
    let mut lines = "With --json:\n".to_owned();
    list(schema.as_value(), 2, &mut lines);
    lines
}

/// Columns for the names, with what they are indented by.
const NAMES: usize = 30;

fn list(object: &Value, indent: usize, lines: &mut String) {
    let properties = object["properties"].as_object();
    for (name, field) in properties.into_iter().flatten() {
        let meaning = field["description"].as_str().unwrap_or("").replace('\n', " ");
        let (kind, inner) = kind(field);
        let name = format!("{:indent$}{name}", "");
        let _ = writeln!(lines, "{name:<NAMES$} {kind:<7} {meaning}");
        if let Some(inner) = inner {
            list(inner, indent + 2, lines);
        }
    }
}

/// The type of a field in plain words, and the object in it whose fields are to be listed.
fn kind(field: &Value) -> (&'static str, Option<&Value>) {
    let names: Vec<&str> = match &field["type"] {
        Value::String(name) => vec![name],
        Value::Array(names) => names.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    };
    let has = |name| names.contains(&name);
    if has("array") {
        let inner = field.get("items").or_else(|| field["prefixItems"].get(0));
        ("list", inner.filter(|inner| inner.get("properties").is_some()))
    } else if has("object") {
        ("object", Some(field))
    } else {
        let word = match (has("string"), has("boolean"), has("null")) {
            (true, _, false) => "text",
            (true, _, true) => "text?",
            (_, true, _) => "yes/no",
            (_, _, false) => "number",
            (_, _, true) => "number?",
        };
        (word, None)
    }
}
