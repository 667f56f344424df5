//! Why a MusicXML file cannot be read.

use crate::score::{Crowd, ScoreError};

/// Why a file cannot be read.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum ImportError {
    /// No bytes.
    #[error("the file is empty; export it again")]
    Empty,
    /// Not well-formed XML.
    #[error("line {line}: the XML is broken: {reason}; export the file again from the program it comes from")]
    Malformed {
        /// Line in the XML text, from 1.
        line: u32,
        /// What is wrong.
        reason: String,
    },
    /// The compressed file is broken or unsafe.
    #[error("the compressed file cannot be used: {reason}; export it again, or as plain .musicxml")]
    Archive {
        /// What is wrong.
        reason: String,
    },
    /// Something else than a score.
    #[error("{what}; {hint}")]
    Unsupported {
        /// What was found.
        what: String,
        /// What to do.
        hint: String,
    },
    /// Larger than any real score.
    #[error("{what} is beyond {limit}, which no score needs; export the part alone")]
    Limit {
        /// What is too large.
        what: String,
        /// The limit.
        limit: String,
    },
    /// More at once than anybody plays.
    #[error("{0}; export it again")]
    Crowd(Crowd),
    /// Music that contradicts itself.
    #[error("the part contradicts itself: {0}; export it again")]
    Contradiction(#[from] ScoreError),
    /// A score without music.
    #[error("the file holds no part with bars; export it again")]
    NoMusic,
    /// No part, or more than one, answers to what was asked for.
    #[error("{} part is called {wanted:?}; the parts are: {}", if *.several { "more than one" } else { "no" }, .parts.join(", "))]
    NoSuchPart {
        /// What was asked for.
        wanted: String,
        /// More than one part fits.
        several: bool,
        /// Number and name of every part.
        parts: Vec<String>,
    },
}

/// Start of a text taken from the file, for messages.
pub(super) fn short(text: &str) -> String {
    text.chars().take(40).collect()
}
