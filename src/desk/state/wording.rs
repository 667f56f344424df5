//! How the passage in words is shown.

use crate::score::EventId;

/// Names a sentence from one analysis to the next: what it is about, and its note.
pub type WhichSentence = (String, EventId);

/// How the list is shown.
#[derive(Debug, Default)]
pub struct WordingView {
    /// The phrase at the top of the list when it last went along with the music, and how many there were.
    pub followed: Option<(usize, usize)>,
    /// The sentence of the moment then.
    pub said: Option<usize>,
    /// The words typed in the place of a sentence.
    pub words: Option<(WhichSentence, String)>,
    /// What was left out of the phrase is unfolded.
    pub left_out: bool,
}
