//! What leaves the program: results to standard output, messages to standard error.

use std::{
    borrow::Cow,
    fmt::Display,
    io::{self, Write as _},
};

/// Prints results. A reader that closed the pipe has read enough.
pub(super) fn print(results: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    enough(out.write_all(visible(results).as_bytes()).and_then(|()| out.flush()))
}

/// A closed pipe is nobody's fault.
pub(super) fn enough(written: io::Result<()>) -> io::Result<()> {
    match written {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        written => written,
    }
}

/// Says something on standard error, as a line of its own. Where nobody can hear it, nothing happens.
pub fn complain(words: impl Display) {
    let line = format!("elbowroom: {words}\n");
    let _ = io::stderr().lock().write_all(visible(&line).as_bytes());
}

/// Text with control characters written out as in JSON, so that a title cannot command a terminal. In
/// JSON itself, where they only stand in strings, it is the same text.
fn visible(text: &str) -> Cow<'_, str> {
    let is_hidden = |c: char| c.is_control() && c != '\n' && c != '\t';
    if !text.contains(is_hidden) {
        return Cow::Borrowed(text);
    }
    let written = |c: char| if is_hidden(c) { format!("\\u{:04x}", u32::from(c)) } else { c.to_string() };
    Cow::Owned(text.chars().map(written).collect())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn control_characters_are_written_out() {
        assert_eq!(visible("Song\n\u{1b}[2J\u{9b}31m\u{7f}"), "Song\n\\u001b[2J\\u009b31m\\u007f");
        let json = serde_json::to_string("a\u{1b}\u{9b}\u{7f}ü").unwrap();
        assert_eq!(serde_json::from_str::<String>(&visible(&json)).unwrap(), "a\u{1b}\u{9b}\u{7f}ü");
    }
}
