//! Lines of a text.

/// Bytes from count to count.
const BLOCK: usize = 512;

/// Line numbers by byte offset. The lines are counted once, block by block: a list of all line ends would be
/// a third as large as the text.
pub(super) struct Lines<'t> {
    text: &'t [u8],
    /// Line ends before each block.
    before: Vec<u32>,
}

impl<'t> Lines<'t> {
    /// The lines of `text`.
    pub(super) fn new(text: &'t str) -> Self {
        let text = text.as_bytes();
        let mut ends = 0;
        let count = |block: &[u8]| {
            let before = ends;
            ends += line_ends(block);
            before
        };
        Self { text, before: text.chunks(BLOCK).map(count).collect() }
    }

    /// Line of a byte offset, from 1.
    pub(super) fn at(&self, at: usize) -> u32 {
        let at = at.min(self.text.len());
        let block = (at / BLOCK).min(self.before.len().saturating_sub(1));
        let before = self.before.get(block).copied().unwrap_or(0);
        1 + before + line_ends(&self.text[block * BLOCK..at])
    }
}

/// How many lines end in a text. Pieces whose count fits into a byte are counted many bytes at a time.
fn line_ends(text: &[u8]) -> u32 {
    text.chunks(255)
        .map(|piece| u32::from(piece.iter().map(|&byte| u8::from(byte == b'\n')).sum::<u8>()))
        .sum()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_counted_from_one() {
        let lines = Lines::new("<a>\n<b/>\n\n<c/></a>");
        assert_eq!([0, 3, 4, 9, 10, 100].map(|at| lines.at(at)), [1, 1, 2, 3, 4, 4]);
        assert_eq!(Lines::new("").at(7), 1);
    }

    /// Against counting from the start.
    #[test]
    fn lines_are_the_same_over_many_blocks() {
        let text =
            (0..2 * BLOCK).map(|k| if k % 7 == 0 || k % 11 == 0 { '\n' } else { 'x' }).collect::<String>();
        let lines = Lines::new(&text);
        for at in 0..=text.len() {
            let counted = 1 + text[..at].matches('\n').count() as u32;
            assert_eq!(lines.at(at), counted, "byte {at}");
        }
    }
}
