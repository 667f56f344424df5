//! What there is to tell about a file that was read: one line for each kind of trouble.

use std::{borrow::Cow, collections::HashMap, fmt};

/// How much a remark matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Severity {
    /// Something was assumed or left out that the plan may not need.
    Note,
    /// The file is at odds with itself or with the standard, and a choice was made.
    Warning,
}

/// A remark about the file. Equal remarks are one, with the first place and a count.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// How much it matters.
    pub severity: Severity,
    /// Name of the part; empty where it concerns the whole score.
    pub part: String,
    /// Printed number of the first bar concerned; empty if none.
    pub bar: String,
    /// First line concerned in the XML text, from 1; 0 if none.
    pub line: u32,
    /// What was found and what was made of it.
    pub message: String,
    /// What to do about it; may be empty.
    pub hint: String,
    /// How many times it was found.
    pub count: u32,
}

impl fmt::Display for Diagnostic {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self.severity {
            Severity::Note => "note: ",
            Severity::Warning => "warning: ",
        })?;
        let mut place = Vec::new();
        if !self.part.is_empty() {
            place.push(one_line(&self.part));
        }
        if !self.bar.is_empty() {
            place.push(format!("bar {}", one_line(&self.bar)));
        }
        if self.line > 0 {
            place.push(format!("line {}", self.line));
        }
        if !place.is_empty() {
            write!(f, "{}: ", place.join(", "))?;
        }
        f.write_str(&one_line(&self.message))?;
        if self.count > 1 {
            write!(f, " ({} times)", self.count)?;
        }
        if !self.hint.is_empty() {
            write!(f, "; {}", one_line(&self.hint))?;
        }
        Ok(())
    }
}

/// An error with what caused it, as one sentence.
pub fn sentence(error: &dyn std::error::Error) -> String {
    let mut words = error.to_string();
    let mut source = error.source();
    while let Some(cause) = source {
        let cause_words = cause.to_string();
        // Some errors name their cause themselves.
        if !words.ends_with(&cause_words) {
            words = format!("{words}: {cause_words}");
        }
        source = cause.source();
    }
    words
}

fn one_line(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Most different remarks on one part. Assumed: nobody reads more, and a file of nothing but unknown
/// elements has millions.
const REMARK_LIMIT: usize = 500;

/// Where in a file something was found.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct FilePlace<'a> {
    /// Printed bar number, or empty.
    pub bar: &'a str,
    /// Line in the XML text, or 0.
    pub line: u32,
}

/// Collects remarks on one part and folds equal ones together.
#[derive(Clone, Debug, Default)]
pub(super) struct Reporter {
    part: String,
    list: Vec<Diagnostic>,
    index: HashMap<String, usize>,
}

impl Reporter {
    /// For a part, or for the whole score where the name is empty.
    pub(super) fn new(part: &str) -> Self {
        Self { part: part.to_owned(), ..Self::default() }
    }

    /// Adds a note.
    pub(super) fn note(&mut self, place: FilePlace<'_>, message: impl Into<Cow<'static, str>>, hint: &str) {
        self.add(Severity::Note, place, message.into(), hint);
    }

    /// Adds a warning.
    pub(super) fn warn(&mut self, place: FilePlace<'_>, message: impl Into<Cow<'static, str>>, hint: &str) {
        self.add(Severity::Warning, place, message.into(), hint);
    }

    fn add(&mut self, severity: Severity, place: FilePlace<'_>, message: Cow<'static, str>, hint: &str) {
        if let Some(&known) = self.index.get(message.as_ref()) {
            self.list[known].count = self.list[known].count.saturating_add(1);
            return;
        }
        if self.list.len() >= REMARK_LIMIT {
            self.more(severity);
            return;
        }
        self.index.insert(message.clone().into_owned(), self.list.len());
        self.list.push(Diagnostic {
            severity,
            part: self.part.clone(),
            bar: place.bar.to_owned(),
            line: place.line,
            message: message.into_owned(),
            hint: hint.to_owned(),
            count: 1,
        });
    }

    /// Counts a remark for which there is no room.
    fn more(&mut self, severity: Severity) {
        if self.list.len() == REMARK_LIMIT {
            self.list.push(Diagnostic {
                severity,
                part: self.part.clone(),
                bar: String::new(),
                line: 0,
                message: "there is more of many other kinds to tell about this file".to_owned(),
                hint: "export it again from the program it comes from".to_owned(),
                count: 0,
            });
        }
        if let Some(last) = self.list.last_mut() {
            last.severity = last.severity.max(severity);
            last.count = last.count.saturating_add(1);
        }
    }

    /// The remarks, in the order in which they were first made.
    pub(super) fn into_list(self) -> Vec<Diagnostic> {
        self.list
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn equal_remarks_are_one_line_with_the_first_place() {
        let mut reporter = Reporter::new("Viola");
        reporter.warn(FilePlace { bar: "7", line: 90 }, "a tie never ends", "check the tie");
        reporter.warn(FilePlace { bar: "9", line: 95 }, "a tie never ends", "check the tie");
        reporter.note(FilePlace::default(), "no tempo", "");
        let lines: Vec<String> = reporter.into_list().iter().map(ToString::to_string).collect();
        assert_eq!(
            lines,
            [
                "warning: Viola, bar 7, line 90: a tie never ends (2 times); check the tie",
                "note: Viola: no tempo"
            ]
        );
    }

    #[test]
    fn endless_remarks_end_with_their_number() {
        let mut reporter = Reporter::new("Viola");
        for number in 0..REMARK_LIMIT + 3 {
            reporter.note(FilePlace::default(), format!("kind {number}"), "");
        }
        reporter.warn(FilePlace::default(), "kind 0", "");
        let list = reporter.into_list();
        assert_eq!((list.len(), list[0].count, list[REMARK_LIMIT].count), (REMARK_LIMIT + 1, 2, 3));
    }
}
