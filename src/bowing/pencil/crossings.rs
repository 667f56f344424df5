//! Strings passed over, and slurred leaps to another string.

use super::{Advice, Draft, Need, Topic};
use crate::bowing::evidence::{Evidence, hashed};

/// A leap of so many half steps to another string in one bow is worth a word. Assumed: a sixth.
const LEAP: f64 = 9.0;
/// A string passed over between separate notes is worth a word where there is less time than this, s.
/// Assumed.
const SOON_S: f64 = 0.3;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for crossing in &evidence.arm_path.crossings {
        let piece = crossing.into;
        let Some(before) = piece.checked_sub(1) else { continue };
        let (note, from) = (evidence.note(piece), evidence.note(before));
        if note.grace.is_some() || from.grace.is_some() || evidence.plan.unplanned[piece] {
            continue;
        }
        let top = |midi: Vec<f64>| midi.last().copied().unwrap_or_default();
        let leap = (top(note.midi()) - top(from.midi())).abs();
        let soon = evidence.bowed(piece).onset_s - evidence.bowed(before).onset_s < SOON_S;
        let skips = crossing.skipped > 0;
        let weight = match (skips, crossing.in_one_bow) {
            (true, true) if evidence.is_loud(before) => Need::Must,
            (true, true) => Need::Worth,
            (true, false) if soon => Need::Worth,
            (false, true) if leap >= LEAP => Need::Worth,
            _ => continue,
        };
        let (text, sentence, why) = if skips {
            (
                "arm early",
                format!(
                    "Over a string to {}: the arm starts during the note before, with little bow.",
                    evidence.note_words(piece)
                ),
                "The string between must not sound.",
            )
        } else {
            (
                "lighten over the leap",
                format!(
                    "A slurred leap to {}: lighten just before, and let the arm lead.",
                    evidence.note_words(piece)
                ),
                "The crossing inside the slur must not make an accent.",
            )
        };
        let figure = hashed((skips, crossing.in_one_bow, evidence.rhythm(evidence.bowing.stroke_of(piece))));
        let advice = Advice { topic: Topic::Crossing, weight, text, sentence, why };
        drafts.push(advice.over(evidence, before, figure));
    }
}
