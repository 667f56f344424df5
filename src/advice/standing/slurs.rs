//! What it costs to draw a slur anew, by where it is cut and what it joins.
//!
//! Where the slurs may be changed a player changes few of them: a cut before an accent, at the barline or
//! on a beat is heard least; a new slur joins steps within a beat, and no repeated note, which it would
//! swallow (common practice, no source; the figures are assumed, in parts of a strong beat on an up-bow
//! where [`super::weights::LEANING`] is one).

use crate::score::{Attack, Mark, Quarters, Score};

/// A new bow before an accented note, on the barline, on a beat, off the beat.
const CUT: [f64; 4] = [0.3, 0.4, 0.6, 1.0];
/// A slur to a step within the beat, to a step onto a beat, to a leap, over the barline, to the same note.
const JOIN: [f64; 5] = [0.4, 0.5, 0.8, 1.0, 1.2];
/// Half steps in the widest step.
const STEP: f64 = 2.0;

/// What speaks against a new bow on a note that was in the bow of the note before it.
pub(in crate::advice) fn cut(score: &Score, note: &Attack) -> f64 {
    let sharp = |mark: &Mark| mark.is_accent() || matches!(mark, Mark::Sforzando | Mark::FortePiano);
    if note.marks.iter().any(sharp) {
        CUT[0]
    } else if score.starts_bar(note) {
        CUT[1]
    } else if on_beat(score, note) {
        CUT[2]
    } else {
        CUT[3]
    }
}

/// What speaks against a slur to a note from the one before it.
pub(in crate::advice) fn join(score: &Score, before: &Attack, note: &Attack) -> f64 {
    let top = |attack: &Attack| attack.notes.last().map_or(0.0, |head| head.pitch.midi());
    let interval = (top(note) - top(before)).abs();
    if interval < 0.5 {
        JOIN[4]
    } else if score.starts_bar(note) {
        JOIN[3]
    } else if interval > STEP {
        JOIN[2]
    } else if on_beat(score, note) {
        JOIN[1]
    } else {
        JOIN[0]
    }
}

fn on_beat(score: &Score, note: &Attack) -> bool {
    score.bars.get(note.bar).is_some_and(|bar| {
        let beats: Quarters = (note.onset - bar.start) / bar.time.beat();
        beats.denom() == 1
    })
}
