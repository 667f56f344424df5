//! Chords of three and four notes where they are hard to break.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::bowing::{evidence::Evidence, pencil::there};

/// In a rest of so many seconds the bow is set where it is wanted. Assumed.
pub(super) const SETS_S: f64 = 0.3;

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    for (stroke, is_chosen) in evidence.chosen().into_iter().enumerate() {
        raws.extend(on_an_up_bow(evidence, stroke, is_chosen));
        raws.extend(far_out(evidence, stroke));
    }
}

fn is_chord(evidence: &Evidence, stroke: usize) -> bool {
    evidence.note(evidence.first(stroke)).notes.len() >= 3
}

/// A loud chord on an up-bow that is not printed; repeated chords go back and forth and are left alone.
fn on_an_up_bow(evidence: &Evidence, stroke: usize, is_chosen: bool) -> Option<Raw> {
    let piece = evidence.first(stroke);
    let up = evidence.strokes()[stroke].direction == crate::score::Direction::Up;
    let beside = [stroke.checked_sub(1), Some(stroke + 1).filter(|&next| next < evidence.strokes().len())];
    let alone = !beside.into_iter().flatten().any(|stroke| is_chord(evidence, stroke));
    let meant = evidence.note(piece).bow.is_some() || evidence.is_soft(piece) || is_chosen;
    if !(is_chord(evidence, stroke) && alone && up) || meant {
        return None;
    }
    let said = Said {
        kind: Kind::ChordUp,
        verdict: Verdict::Notice,
        about: About::Direction,
        heard: 0.9,
        headline: "a chord on an up-bow".to_owned(),
        what: format!("On {} {} falls on an up-bow.", evidence.place(piece), evidence.note_words(piece)),
        why: "A chord is broken from the bottom with the weight of the arm, and that is a down-bow from the lower half.".to_owned(),
    };
    Some(evidence.raw(piece, said).caused_by("chord"))
}

/// A chord that begins where the bow has no weight.
fn far_out(evidence: &Evidence, stroke: usize) -> Option<Raw> {
    let piece = evidence.first(stroke);
    let (share, _) = evidence.shares(stroke);
    let limit = evidence.rules().chord_limit;
    let planned = !evidence.plan.unplanned[piece] && evidence.plan.piece(piece).moves();
    let brought = piece > 0 && evidence.plan.piece(piece - 1).carries;
    // In a rest the hand goes to the frog by itself.
    // After another chord and a rest it is set where that one was.
    let again = stroke > 0 && is_chord(evidence, stroke - 1) && evidence.silent_s(piece) > 0.0;
    let set = evidence.silent_s(piece) >= SETS_S || again;
    if !is_chord(evidence, stroke) || !planned || brought || set || share <= limit {
        return None;
    }
    let said = Said {
        kind: Kind::ChordPlace,
        verdict: Verdict::Notice,
        about: About::Place,
        heard: 0.3 + share - limit,
        headline: "a chord far out on the bow".to_owned(),
        what: format!("On {} {} begins {}.", evidence.place(piece), evidence.note_words(piece), there(share)),
        why: "Three and four strings need the weight of the lower half, and little bow on the bottom notes."
            .to_owned(),
    };
    Some(evidence.raw(piece, said).caused_by("chord"))
}
