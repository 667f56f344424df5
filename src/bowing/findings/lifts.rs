//! Time to lift and set the bow.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{
    bowing::evidence::Evidence,
    {bowing::Reached, score::Mark},
};

/// A retake for which there is hardly time.
pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let least = evidence.rules().retake_least_s;
    for piece in 1..evidence.bowing.notes.len() {
        let bowed = evidence.bowed(piece);
        let Reached::Air(gap_s) = bowed.reached else { continue };
        if bowed.stolen_s <= 0.0 || gap_s >= least {
            continue;
        }
        // A retake that nobody wrote is our own doing; where the bow mark is printed, the note before is shortened
        // without a word.
        let note = evidence.note(piece);
        if !note.retake || note.bow.is_some() {
            continue;
        }
        // Players breathe at a breath mark, and take time for it; a short note leaves time by itself.
        let leaves_time = |mark: &Mark| {
            matches!(mark, Mark::BreathMark | Mark::Caesura | Mark::Staccato | Mark::Staccatissimo)
        };
        if evidence.note(piece - 1).marks.iter().any(leaves_time) {
            continue;
        }
        let said = Said {
            kind: Kind::ShortRetake,
            verdict: Verdict::Tight,
            about: About::Lift,
            heard: 1.0 - 0.7 * gap_s / least,
            headline: "hardly time for the retake".to_owned(),
            what: format!(
                "Before {} on {} there is hardly a moment to lift and set the bow: the note before has to give up its end.",
                evidence.note_words(piece),
                evidence.place(piece)
            ),
            why: "A retake without a rest is paid for by the note before it; a hooked bow or another direction costs nothing.".to_owned(),
        };
        raws.push(evidence.raw(piece, said).caused_by("retake"));
    }
}
