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

/// "over bar 8, beats 1 to 3" inside one bar, "from bar 8 to bar 9, beat 2" over several.
pub(super) fn span(score: &Score, from: Quarters, to: Quarters) -> String {
    let (first, last) = (score.place_words(from), score.place_words(to));
    let bar = |words: &str| words.split_once(", beat ").map(|(bar, beat)| (bar.to_owned(), beat.to_owned()));
    match (bar(&first), bar(&last), score.bar_at(from) == score.bar_at(to)) {
        (Some((bar, a)), Some((_, b)), true) => format!("over {bar}, beats {a} to {b}"),
        _ => format!("from {} to {}", place(score, from), place(score, to)),
    }
}

/// "the first note of bar 9" at the start of a bar, "the note on bar 8, beat 3" inside one.
pub(super) fn note_at(score: &Score, at: Quarters) -> String {
    let words = score.place_words(at);
    match words.strip_suffix(", beat 1") {
        Some(bar) => format!("the first note of {bar}"),
        None => format!("the note on {words}"),
    }
}
