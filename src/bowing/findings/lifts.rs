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
        let breath = piece > 0
            && evidence
                .note(piece - 1)
                .marks
                .iter()
                .any(|mark| matches!(mark, Mark::BreathMark | Mark::Caesura));
        let (headline, why) = if breath {
            (
                "hardly time to lift at the breath mark",
                "The breath mark lets the bow be lifted, and without a rest that is paid for by the note before it: take a little time there, or keep the bow on the string.",
            )
        } else {
            (
                "hardly time for the retake",
                "A retake without a rest is paid for by the note before it; a hooked bow or another direction costs nothing.",
            )
        };
        let said = Said {
            kind: Kind::ShortRetake,
            verdict: Verdict::Tight,
            about: About::Lift,
            heard: 1.0 - 0.7 * gap_s / least,
            headline: headline.to_owned(),
            what: format!(
                "Before {} on {} there are {gap_s:.2} s to lift and set the bow, all taken from the end of the note before; at least {least:.2} s are needed.",
                evidence.note_words(piece),
                evidence.place(piece)
            ),
            why: why.to_owned(),
        };
        raws.push(evidence.raw(piece, said).caused_by("retake"));
    }
}
