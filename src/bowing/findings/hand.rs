//! Notes that the player's hand does not reach, or not together.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{bowing::evidence::Evidence, score::sentence_case};

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    for (piece, bowed) in evidence.bowing.notes.iter().enumerate() {
        let Some(problem) = &evidence.left_hand.placements[bowed.note].problem else { continue };
        let together = evidence.note(piece).notes.len() > 1;
        let (headline, why) = if together {
            (
                "these notes cannot be played together",
                "Notes that sound together lie on neighbouring strings, under one hand.",
            )
        } else {
            (
                "out of the player's hand",
                "The strings, and the positions of the player in the set-up, set the limit.",
            )
        };
        let said = Said {
            kind: Kind::OutOfHand,
            verdict: Verdict::Impossible,
            about: About::Hand,
            heard: 1.0,
            headline: headline.to_owned(),
            what: format!("{}.", sentence_case(problem)),
            why: why.to_owned(),
        };
        raws.push(evidence.raw(piece, said).caused_by(together));
    }
}
