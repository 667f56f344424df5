//! Lines of a text.

/// Line numbers by byte offset, found once for the whole text.
pub(super) struct Lines {
    /// Byte offsets of the line ends.
    ends: Vec<usize>,
}

impl Lines {
    /// The lines of `text`.
    pub(super) fn new(text: &str) -> Self {
        Self { ends: text.bytes().enumerate().filter(|(_, b)| *b == b'\n').map(|(at, _)| at).collect() }
    }

    /// Line of a byte offset, from 1.
    pub(super) fn at(&self, at: usize) -> u32 {
        u32::try_from(self.ends.partition_point(|&end| end < at) + 1).unwrap_or(u32::MAX)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_are_counted_from_one() {
        let lines = Lines::new("<a>\n<b/>\n\n<c/></a>");
        assert_eq!([0, 3, 4, 9, 10, 100].map(|at| lines.at(at)), [1, 1, 2, 3, 4, 4]);
    }
}
