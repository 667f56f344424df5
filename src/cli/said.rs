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

/// Writes text with characters that are no signs written out as in JSON, so that a title can neither command a
/// terminal nor turn round or hide what stands there. In JSON itself, where they only stand in strings, it is
/// the same text.
struct Visible<W> {
    out: W,
    /// The bytes of a character that has not come whole yet.
    begun: Vec<u8>,
}

impl<W: io::Write> Visible<W> {
    fn new(out: W) -> Self {
        Self { out, begun: Vec::new() }
    }
}

/// Control characters (Cc), format characters (Cf), and the separators of lines and paragraphs, by the Unicode
/// character database 16.0, from memory.
fn is_hidden(c: char) -> bool {
    match c {
        '\n' | '\t' => false,
        '\u{ad}'
        | '\u{600}'..='\u{605}'
        | '\u{61c}'
        | '\u{6dd}'
        | '\u{70f}'
        | '\u{890}'..='\u{891}'
        | '\u{8e2}'
        | '\u{180e}'
        | '\u{200b}'..='\u{200f}'
        | '\u{2028}'..='\u{202e}'
        | '\u{2060}'..='\u{206f}'
        | '\u{feff}'
        | '\u{fff9}'..='\u{fffb}'
        | '\u{110bd}'
        | '\u{110cd}'
        | '\u{13430}'..='\u{1343f}'
        | '\u{1bca0}'..='\u{1bca3}'
        | '\u{1d173}'..='\u{1d17a}'
        | '\u{e0001}'
        | '\u{e0020}'..='\u{e007f}' => true,
        c => c.is_control(),
    }
}

impl<W: io::Write> io::Write for Visible<W> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.begun.is_empty() && bytes.iter().all(|byte| matches!(byte, b' '..=b'~' | b'\n' | b'\t')) {
            self.out.write_all(bytes)?;
            return Ok(bytes.len());
        }
        let mut all = std::mem::take(&mut self.begun);
        all.extend(bytes);
        let mut text = Vec::with_capacity(all.len() + 64);
        for chunk in all.utf8_chunks() {
            for c in chunk.valid().chars() {
                if is_hidden(c) {
                    for unit in c.encode_utf16(&mut [0; 2]) {
                        write!(text, "\\u{unit:04x}")?;
                    }
                } else {
                    text.extend(c.encode_utf8(&mut [0; 4]).as_bytes());
                }
            }
            // What cannot be a character any more is none of ours and left alone.
            match std::str::from_utf8(chunk.invalid()) {
                Err(error) if error.error_len().is_none() => self.begun = chunk.invalid().to_vec(),
                _ => text.extend(chunk.invalid()),
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
        assert_eq!(visible("\u{a0}\u{ff}\u{c2}é♩𝄞"), "\u{a0}\u{ff}\u{c2}é♩𝄞");
        assert_eq!(
            visible("gnos\u{202e}a\u{200b}\u{2028}\u{e0041}"),
            "gnos\\u202ea\\u200b\\u2028\\udb40\\udc41"
        );
        let all = "a\u{1b}\u{9b}\u{7f}ü\u{202e}\u{feff}\u{e0041}𝄞";
        let json = serde_json::to_string(all).unwrap();
        assert_eq!(serde_json::from_str::<String>(&visible(&json)).unwrap(), all);
    }
}
