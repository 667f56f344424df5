//! How much bow: long notes, bows to be divided, bows that must win back what another has spent, and
//! crescendos that need their bow late.

use super::{Advice, Draft, Need, Topic, main_note};
use crate::bowing::{
    Reached,
    evidence::{Evidence, hashed},
};

/// A bow of this part of the player's slowest whole bow is slow, and of this part better divided. Assumed.
const SLOW_PART: f64 = 0.35;
const DIVIDE_PART: f64 = 0.55;
/// A stroke has to win back what one so many times as long has spent. Assumed.
const UNEVEN: f64 = 2.5;
/// A crescendo needs a thought about its bow from this length on, s. Assumed.
const SWELL_S: f64 = 1.0;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for stroke in 0..evidence.strokes().len() {
        let long = long(evidence, stroke);
        if long.is_none() {
            drafts.extend(uneven(evidence, stroke));
        }
        drafts.extend(long);
    }
    drafts.extend(swells(evidence));
}

/// A stroke that takes long.
fn long(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let seconds = evidence.seconds(stroke);
    let part = seconds / evidence.lesson.setup.player.slowest_whole_bow_s;
    let notes = evidence.strokes()[stroke].notes.clone();
    let piece = main_note(evidence, stroke);
    if part < SLOW_PART || !evidence.plan.piece(piece).moves() {
        return None;
    }
    let one = notes.clone().filter(|&piece| evidence.note(piece).grace.is_none()).count() == 1;
    let advice = if part >= DIVIDE_PART && !one {
        Advice {
            topic: Topic::RunsOut,
            weight: Need::Must,
            text: "slow, or divide",
            sentence: format!(
                "{seconds:.0} s in one bow: very slow from the first moment, or a change that nobody hears."
            ),
            why: "One bow hardly lasts so long with a sound that carries.",
        }
    } else if one {
        Advice {
            topic: Topic::LongNote,
            weight: if part >= DIVIDE_PART { Need::Must } else { Need::Worth },
            text: "slow bow",
            sentence: format!(
                "{} lasts {seconds:.0} s: a calm start and an even, slow bow to its end.",
                crate::score::sentence_case(&evidence.note_words(piece))
            ),
            why: "What is spent at the start is missing at the end.",
        }
    } else {
        Advice {
            topic: Topic::Amount,
            weight: Need::Worth,
            text: "save",
            sentence: format!(
                "{} notes and {seconds:.0} s in one bow: spend little on the first of them.",
                notes.len()
            ),
            why: "What is spent at the start is missing at the end.",
        }
    };
    Some(advice.over(evidence, piece, hashed(evidence.rhythm(stroke))))
}

/// A short stroke between two long ones, on the string: it has to bring the bow back.
fn uneven(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let before = stroke.checked_sub(1)?;
    let changes = |stroke: usize| evidence.bowed(evidence.first(stroke)).reached == Reached::BowChange;
    let (spent, back) = (evidence.wanted_mm(before), evidence.wanted_mm(stroke));
    let next = (stroke + 1 < evidence.strokes().len()).then(|| evidence.wanted_mm(stroke + 1));
    // Only where much is spent, and nothing but this stroke brings it back.
    if !changes(stroke) || back <= 0.0 || spent < UNEVEN * back || spent < evidence.rules().creep_mm {
        return None;
    }
    let again = next.is_some_and(|next| next >= UNEVEN * back && changes(stroke + 1));
    let advice = Advice {
        topic: Topic::Amount,
        weight: if again { Need::Worth } else { Need::IfTime },
        text: "quick, light",
        sentence: format!(
            "The long bow before it spends what {} has to bring back: little bow there, and this one quick and light.",
            evidence.note_words(main_note(evidence, stroke))
        ),
        why: "Otherwise the bow creeps to one end.",
    };
    let figure = hashed((evidence.rhythm(before), evidence.rhythm(stroke)));
    Some(advice.over(evidence, main_note(evidence, before), figure))
}

/// A crescendo inside one bow.
fn swells(evidence: &Evidence) -> Vec<Draft> {
    let seconds = |at| evidence.line.tempo.seconds(at) / evidence.lesson.setup.tempo_share;
    let inside = evidence.bowing.swells(&evidence.lesson.score, evidence.line);
    let drafts =
        inside.into_iter().filter(|swell| swell.opens && seconds(swell.end) - seconds(swell.at) >= SWELL_S);
    drafts
        .map(|swell| {
            let advice = Advice {
                topic: Topic::Amount,
                weight: Need::Worth,
                text: "save, then spend",
                sentence: "Spend little at first and most of the bow where the crescendo arrives.".to_owned(),
                why: "The bow that makes the crescendo is needed late.",
            };
            let piece = main_note(evidence, swell.stroke);
            advice.over(evidence, piece, hashed(("swell", evidence.rhythm(swell.stroke))))
        })
        .collect()
}
