//! Places and factors in words, as the changes name them.

use crate::score::{Quarters, Score, mixed_number};

/// "over bar 8, beats 1 to 3" inside one bar, "from bar 8 to bar 9, beat 2" over several.
pub(super) fn span(score: &Score, from: Quarters, to: Quarters) -> String {
    let (first, last) = (score.place(from), score.place(to));
    if first.bar.is_some() && score.bar_at(from) == score.bar_at(to) {
        let (a, b) = (mixed_number(first.beat), mixed_number(last.beat));
        format!("over {}, beats {a} to {b}", first.bar_words())
    } else {
        format!("from {} to {}", first.short(), last.short())
    }
}

/// "the first note of bar 9" at the start of a bar, "the note on bar 8, beat 3" inside one.
pub(super) fn note_at(score: &Score, at: Quarters) -> String {
    let place = score.place(at);
    match place.is_first_beat() {
        true => format!("the first note of {}", place.bar_words()),
        false => format!("the note on {place}"),
    }
}

/// A factor with two places, without a last zero: "0.8", "1.25".
pub(super) fn two_places(factor: f64) -> String {
    let text = format!("{factor:.2}");
    text.strip_suffix('0').map_or(text.clone(), str::to_owned)
}
