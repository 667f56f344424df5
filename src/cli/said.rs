//! What leaves the program: results to standard output, messages to standard error.

use std::{
    fmt::Display,
    io::{self, BufWriter, Write as _},
};

/// Results on their way to standard output, written as they are made.
pub(super) struct Results {
    out: BufWriter<Visible<io::StdoutLock<'static>>>,
    written: io::Result<()>,
}

impl Results {
    /// Nothing is printed yet.
    pub fn new() -> Self {
        Self { out: BufWriter::new(Visible::new(io::stdout().lock())), written: Ok(()) }
    }

    /// Prints text.
    pub fn print(&mut self, text: &str) {
        self.write(|out| out.write_all(text.as_bytes()));
    }

    /// Prints something that writes itself. What could not be printed is told at the end.
    pub fn write(&mut self, write: impl FnOnce(&mut dyn io::Write) -> io::Result<()>) {
        if self.written.is_ok() {
            self.written = write(&mut self.out);
        }
    }

    /// All of it is printed, or why not. A reader that closed the pipe has read enough.
    pub fn end(mut self) -> io::Result<()> {
        let written = std::mem::replace(&mut self.written, Ok(()));
        enough(written.and_then(|()| self.out.flush()))
    }
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
    let _ = Visible::new(io::stderr().lock()).write_all(line.as_bytes());
}

/// Writes text with control characters written out as in JSON, so that a title cannot command a
/// terminal. In JSON itself, where they only stand in strings, it is the same text.
struct Visible<W> {
    out: W,
    /// The byte that C1 control characters begin with in UTF-8 was the last one; it is not written yet.
    has_lead: bool,
}

/// First byte of the characters U+0080 to U+00BF in UTF-8.
const LEAD: u8 = 0xC2;

impl<W: io::Write> Visible<W> {
    fn new(out: W) -> Self {
        Self { out, has_lead: false }
    }
}

impl<W: io::Write> io::Write for Visible<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let is_hidden = |byte: u8| byte.is_ascii_control() && byte != b'\n' && byte != b'\t';
        if !self.has_lead && !bytes.iter().any(|byte| is_hidden(*byte) || *byte == LEAD) {
            self.out.write_all(bytes)?;
            return Ok(bytes.len());
        }
        let mut text = Vec::with_capacity(bytes.len() + 64);
        for &byte in bytes {
            match (std::mem::take(&mut self.has_lead), byte) {
                (true, 0x80..=0x9F) => write!(text, "\\u{byte:04x}")?,
                (true, _) => text.extend([LEAD, byte]),
                (false, LEAD) => self.has_lead = true,
                (false, _) if is_hidden(byte) => write!(text, "\\u{byte:04x}")?,
                (false, _) => text.push(byte),
            }
        }
        self.out.write_all(&text)?;
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Written at once and byte by byte.
    fn visible(text: &str) -> String {
        let (mut whole, mut pieces) = (Visible::new(Vec::new()), Visible::new(Vec::new()));
        whole.write_all(text.as_bytes()).unwrap();
        text.as_bytes().iter().for_each(|byte| pieces.write_all(&[*byte]).unwrap());
        assert_eq!(whole.out, pieces.out);
        String::from_utf8(whole.out).unwrap()
    }

    #[test]
    fn control_characters_are_written_out() {
        assert_eq!(visible("Song\n\u{1b}[2J\u{9b}31m\u{7f}"), "Song\n\\u001b[2J\\u009b31m\\u007f");
        assert_eq!(visible("\u{a0}\u{ff}\u{c2}é\u{2028}"), "\u{a0}\u{ff}\u{c2}é\u{2028}");
        let json = serde_json::to_string("a\u{1b}\u{9b}\u{7f}ü").unwrap();
        assert_eq!(serde_json::from_str::<String>(&visible(&json)).unwrap(), "a\u{1b}\u{9b}\u{7f}ü");
    }
}
