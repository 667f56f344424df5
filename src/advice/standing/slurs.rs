//! What it costs to draw a slur anew, by where it is cut and what it joins.
//!
//! Where the slurs may be changed a player changes few of them: a cut before an accent, at the barline or
//! on a beat is heard least, and the halves of a bow are better than a note and the rest; a new slur joins
//! steps within a beat, no two that are printed, and no repeated note, which it would swallow (common practice, no source; the figures are assumed, in parts of a strong beat on an up-bow
//! where [`super::weights::LEANING`] is one).

use crate::{
    analysis::Study,
    score::{Attack, Quarters, Score},
};

/// A new bow before an accented note, on the barline, on a beat, off the beat.
const CUT: [f64; 4] = [0.3, 0.4, 0.6, 1.6];
/// A cut at the very end of a bow; in its middle nothing, between in proportion.
const UNEVEN: f64 = 1.2;
/// A slur to a step within the beat, to a step onto a beat, to a leap, over the barline, to the same note. The
/// one over the barline costs more than a bar begun on an up-bow: swallowing a strong beat mends none.
const JOIN: [f64; 5] = [0.4, 0.5, 0.8, 2.5, 3.0];
/// A slur that grows by a single note, and two made one.
const GROWN: f64 = 0.2;
const MERGED: f64 = 2.0;
/// Half steps in the widest step.
const STEP: f64 = 2.0;

/// What speaks against a new bow on bowed note `k`, which is in the bow of the note before it.
pub(in crate::advice) fn cut(study: &Study, k: usize) -> f64 {
    let (score, analysis) = (&study.lesson().score, study.analysis());
    let note = analysis.note(k);
    let place = if analysis.is_stopped(k) {
        // It is set anew as it is.
        return 0.0;
    } else if note.marks.iter().any(|mark| mark.is_accent()) {
        CUT[0]
    } else if score.starts_bar(note) {
        CUT[1]
    } else if on_beat(score, note) {
        CUT[2]
    } else {
        CUT[3]
    };
    let bow = &analysis.stroke(analysis.stroke_of(k)).notes;
    let (start, end) = (analysis.note(bow.start).onset, analysis.note(bow.end - 1).end());
    let share = ((note.onset - start) / (end - start)).to_f64();
    place + UNEVEN * (2.0 * share - 1.0).abs()
}

/// What speaks against a slur to bowed note `k` from the one before it; none is before the first.
pub(in crate::advice) fn join(study: &Study, k: usize) -> f64 {
    let Some(before) = k.checked_sub(1) else { return 0.0 };
    let (score, analysis) = (&study.lesson().score, study.analysis());
    let (before, note) = (analysis.note(before), analysis.note(k));
    let top = |attack: &Attack| attack.notes.last().map_or(0.0, |head| head.pitch.midi());
    let interval = (top(note) - top(before)).abs();
    let place = if interval < 0.5 {
        JOIN[4]
    } else if score.starts_bar(note) {
        JOIN[3]
    } else if interval > STEP {
        JOIN[2]
    } else if on_beat(score, note) {
        JOIN[1]
    } else {
        JOIN[0]
    };
    let redrawn = match (before.slur.is_some(), note.slur.is_some()) {
        (true, true) => MERGED,
        (true, false) | (false, true) => GROWN,
        (false, false) => 0.0,
    };
    place + redrawn
}

fn on_beat(score: &Score, note: &Attack) -> bool {
    score.bars.get(note.bar).is_some_and(|bar| {
        let beats: Quarters = (note.onset - bar.start) / bar.time.beat();
        beats.denom() == 1
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{
        lesson::{Writer, change::new_passage},
        score::{NoteValue, TimeSignature},
        setup::Family,
    };

    /// Rising and falling eighths in a bar, four under each of two slurs, then four alone. Common practice, no
    /// source.
    #[test]
    fn printed_slurs_stay_apart_and_are_cut_in_halves() {
        let mut writer = Writer::new(new_passage(Family::Violin, TimeSignature::new(6, 4), 0, 96.0));
        for name in ["A4", "B4", "C5", "D5", "C5", "B4", "A4", "G4", "A4", "B4", "C5", "D5"] {
            writer = writer.note(name, NoteValue::EIGHTH);
            writer = if name == "D5" || name == "G4" { writer.slur(4) } else { writer };
        }
        let (mut lesson, _) = writer.finish().expect("it can be written");
        lesson.score.slurs.truncate(2);
        let study = Study::new(lesson);
        // Before the second, the third and the fourth note of a slur.
        let [first, half, last] = [1, 2, 3].map(|k| cut(&study, k));
        assert!(half < first && half < last, "{first}, {half}, {last}");
        // Two slurs into one, one note more under a slur, two single notes; each by a step.
        let [merged, grown, made] = [4, 8, 10].map(|k| join(&study, k));
        assert!(made < grown && grown < merged, "{made}, {grown}, {merged}");
    }
}
