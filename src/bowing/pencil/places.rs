//! Where on the bow a kind of stroke is played, told where it begins.

use super::{Advice, Draft, Need, Topic};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::StrokeType,
};

/// So many notes of one stroke are a passage. Assumed.
const PASSAGE: usize = 4;
/// From so many on its place must be told. Assumed.
const LONG_PASSAGE: usize = 12;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let notes = &evidence.bowing.notes;
    let mut first = 0;
    while first < notes.len() {
        let stroke = notes[first].stroke_type;
        let count = notes[first..].iter().take_while(|note| note.stroke_type == stroke).count();
        if count >= PASSAGE
            && let Some((text, sentence, why)) = words(evidence, stroke, first)
        {
            let weight = if count >= LONG_PASSAGE { Need::Must } else { Need::Worth };
            let soft = evidence.is_soft(first);
            let figure = hashed((stroke, soft, evidence.is_loud(first)));
            let advice =
                Advice { topic: Topic::StrokePlace, weight, text, sentence: sentence.to_owned(), why };
            drafts.push(advice.over(evidence, first, figure));
        }
        first += count;
    }
}

type Words = (&'static str, &'static str, &'static str);

fn words(evidence: &Evidence, stroke: StrokeType, piece: usize) -> Option<Words> {
    Some(match stroke {
        StrokeType::Spiccato => (
            "balance point, small",
            "Come to the balance point before it begins; small strokes, always at the same place.",
            "Near the balance point the bow bounces by its own weight.",
        ),
        StrokeType::Sautille => (
            "middle, small",
            "A little above the balance point, very small strokes from the hand.",
            "There the stick springs by itself.",
        ),
        StrokeType::Tremolo if evidence.is_loud(piece) => (
            "lower half",
            "Short, dense strokes in the lower half.",
            "A loud tremolo needs the weight of the lower half.",
        ),
        StrokeType::Tremolo => (
            "upper half, near the string",
            "Small strokes in the upper half, near the string.",
            "A soft tremolo lies where the bow is light.",
        ),
        StrokeType::SlurredStaccato | StrokeType::Portato => (
            "middle, small pulses",
            "One bow about the middle, a small pulse for each note, all alike.",
            "It is one continuing stroke, not several.",
        ),
        StrokeType::Martele => (
            "stop before each",
            "From the string, with a clean stop before each note.",
            "Each note begins with a bite.",
        ),
        StrokeType::Ricochet => (
            "throw, above the middle",
            "Thrown above the middle, all notes from one throw.",
            "There the bow rebounds by itself.",
        ),
        StrokeType::Detache | StrokeType::Legato | StrokeType::Colle => return None,
    })
}
