//! What a file held when it was last read or written, to tell whether it has changed since.

use serde::{Deserialize, Serialize};

/// The length of a file and a hash of its bytes.
///
/// The hash is FNV-1a with 64 bits (Fowler, Noll and Vo; RFC 9923): quick, the same on every machine,
/// and no protection against somebody who wants two files to look alike.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
pub struct Seen {
    /// Bytes.
    length: u64,
    hash: u64,
}

impl Seen {
    /// Of nothing yet.
    pub const EMPTY: Self = Self { length: 0, hash: 0xcbf2_9ce4_8422_2325 };

    /// Of these bytes.
    pub fn of(bytes: &[u8]) -> Self {
        let mut seen = Self::EMPTY;
        seen.take(bytes);
        seen
    }

    /// Goes on with further bytes.
    pub fn take(&mut self, bytes: &[u8]) {
        self.length += bytes.len() as u64;
        self.hash = bytes
            .iter()
            .fold(self.hash, |hash, byte| (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3));
    }

    /// The hash alone.
    pub fn hash(self) -> u64 {
        self.hash
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Values published with the function (RFC 9923, test vectors), from memory.
    #[test]
    fn the_hash_is_the_published_one() {
        for (text, hash) in
            [("", 0xcbf2_9ce4_8422_2325), ("a", 0xaf63_dc4c_8601_ec8c), ("foobar", 0x8594_4171_f739_67e8)]
        {
            assert_eq!(Seen::of(text.as_bytes()).hash(), hash, "{text}");
        }
    }

    #[test]
    fn in_pieces_or_at_once_is_the_same() {
        let mut seen = Seen::of(b"bow");
        seen.take(b"hair");
        assert_eq!(seen, Seen::of(b"bowhair"));
    }
}
