//! Places and factors in words, as the changes name them.

use crate::score::{Quarters, Score};

/// "over bar 8, beats 1 to 3" inside one bar on its beats, "from bar 8 to bar 9, beat 2" else.
pub(super) fn span(score: &Score, from: Quarters, to: Quarters) -> String {
    let (first, last) = (score.place(from), score.place(to));
    let whole = first.beat.denom() == 1 && last.beat.denom() == 1;
    let within = first.bar.is_some() && score.bar_at(from) == score.bar_at(to);
    if within && whole {
        format!("over {}, beats {} to {}", first.bar_words(), first.beat, last.beat)
    } else if within {
        format!("in {}, {} to {}", first.bar_words(), first.beat_words(), last.beat_words())
    } else {
        format!("from {} to {}", first.short(), last.short())
    }
}

/// "the first note of bar 9" at the start of a bar, "the note on beat 3 of bar 8" inside one, "the third triplet note of
/// beat 3 of bar 8" where its place names it.
pub(super) fn note_at(score: &Score, at: Quarters) -> String {
    let place = score.place(at);
    let within = place.in_bar_words();
    match place.is_first_beat() {
        true => format!("the first note of {}", place.bar_words()),
        false if within.contains(" note ") => within,
        false => format!("the note on {within}"),
    }
}
