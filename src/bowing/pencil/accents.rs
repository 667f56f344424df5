//! Accents and chords: what the bow does not do by itself.

use super::{Advice, Draft, Need, Topic, main_note};
use crate::{
    bowing::{
        Reached,
        evidence::{Evidence, hashed},
    },
    score::{Direction, Mark},
};

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for stroke in 0..evidence.strokes().len() {
        drafts.extend(chord(evidence, stroke));
        let main = main_note(evidence, stroke);
        for piece in evidence.strokes()[stroke].notes.clone().filter(|&piece| evidence.is_accented(piece)) {
            drafts.push(accent(evidence, stroke, piece, piece == main));
        }
    }
}

fn accent(evidence: &Evidence, stroke: usize, piece: usize, starts: bool) -> Draft {
    let marks = &evidence.note(piece).marks;
    let fades = marks.contains(&Mark::FortePiano);
    let sharp = fades || marks.contains(&Mark::Sforzando);
    let up = evidence.strokes()[stroke].direction == Direction::Up;
    let inside = !starts && evidence.bowed(piece).reached == Reached::SameStroke;
    let note = evidence.note_words(piece);
    let strong_beat = starts && up && evidence.lesson.score.starts_bar(evidence.note(piece));
    let (topic, weight, text, sentence, why) = if inside {
        (
            Topic::Accent,
            if sharp { Need::Must } else { Need::Worth },
            "save, then lean",
            format!("Keep bow back and lean into {note}, without changing the bow."),
            "The accent comes inside a bow, where no change of direction makes it.",
        )
    } else if strong_beat {
        (
            Topic::StrongBeatUp,
            if sharp { Need::Must } else { Need::Worth },
            "bite, up-bow",
            format!("The strong beat on {note} is an up-bow: begin with a bite and grow toward the frog."),
            "A strong beat is heavy by itself on a down-bow only.",
        )
    } else if fades {
        (
            Topic::Accent,
            Need::Worth,
            "bite, then light",
            format!("A click of weight on {note}, and at once no pressure."),
            "After the bite the dynamic is soft.",
        )
    } else if up {
        (
            Topic::Accent,
            Need::Worth,
            "bite, up-bow",
            format!(
                "The accent on {note} falls on an up-bow: dig in with the first finger, from the string."
            ),
            "On an up-bow the accent does not come by itself.",
        )
    } else {
        (
            Topic::Accent,
            if sharp { Need::Worth } else { Need::IfTime },
            "lower half, bite",
            format!(
                "{} from the string, in the lower half, with a quick start.",
                crate::score::sentence_case(&note)
            ),
            "An accent is a quick start of the bow, where it has weight.",
        )
    };
    let figure = hashed((text, sharp, evidence.rhythm(stroke)));
    Advice { topic, weight, text, sentence, why }.over(evidence, piece, figure)
}

/// A chord of three or four notes, or two strings struck with an accent.
fn chord(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let piece = main_note(evidence, stroke);
    let count = evidence.note(piece).notes.len();
    let struck = evidence.is_accented(piece);
    let up = evidence.strokes()[stroke].direction == Direction::Up;
    let (weight, text, sentence) = match count {
        3.. => (
            if count > 3 || struck && evidence.is_loud(piece) { Need::Must } else { Need::Worth },
            if up { "at the frog" } else { "down, at the frog" },
            format!(
                "Set {} at the frog, break it quickly and land on the upper strings.",
                evidence.note_words(piece)
            ),
        ),
        2 if struck => (
            Need::Worth,
            "both strings at once",
            format!("Both strings of {} speak together, near the frog.", evidence.note_words(piece)),
        ),
        _ => return None,
    };
    let why = "A chord needs the weight of the arm, and that is near the frog.";
    let figure = hashed((count, struck, evidence.rhythm(stroke)));
    Some(Advice { topic: Topic::Chord, weight, text, sentence, why }.over(evidence, piece, figure))
}
