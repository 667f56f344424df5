//! Lengths and places in words.

use crate::score::{Quarters, Score};

/// "9.5 cm", "12 cm".
pub(super) fn cm(mm: f64) -> String {
    let cm = mm / 10.0;
    if cm >= 10.0 { format!("{cm:.0} cm") } else { format!("{cm:.1} cm") }
}

/// "bar 9" at the start of a bar, "bar 8, beat 3" inside one.
pub(super) fn place(score: &Score, at: Quarters) -> String {
    let words = score.place_words(at);
    match words.strip_suffix(", beat 1") {
        Some(bar) => bar.to_owned(),
        None => words,
    }
}
