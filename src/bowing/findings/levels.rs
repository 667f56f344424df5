//! Crossings that ask much of the arm where they come.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{bowing::evidence::Evidence, score::cm};

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let rules = evidence.rules();
    for crossing in &evidence.arm_path.crossings {
        let piece = crossing.into;
        // Grace notes have no time of their own that could be judged.
        let grace = |piece: usize| evidence.note(piece).grace.is_some();
        if evidence.plan.unplanned[piece] || grace(piece) || piece > 0 && grace(piece - 1) {
            continue;
        }
        let speed = crossing.hand_mm_per_s();
        if speed > rules.crossing_mm_per_s {
            let said = Said {
                kind: Kind::CrossingFarOut,
                verdict: Verdict::Notice,
                about: About::Levels,
                heard: 0.2 + 0.2 * (speed / rules.crossing_mm_per_s.max(1.0)).ln(),
                headline: "a wide crossing far out on the bow".to_owned(),
                what: format!(
                    "Into {} the hand travels {} in {:.2} s, {} from the frog.",
                    evidence.place(piece),
                    cm(crossing.hand_mm),
                    crossing.arrives_s - crossing.leaves_s,
                    cm(crossing.hair_mm)
                ),
                why: "The farther out, the longer the way of the hand from string to string; nearer the frog the same crossing is small.".to_owned(),
            };
            raws.push(evidence.raw(piece, said).caused_by((crossing.from, crossing.to)));
        } else if crossing.skipped > 0 && crossing.in_one_bow {
            let said = Said {
                kind: Kind::StringSkipped,
                verdict: Verdict::Notice,
                about: About::Levels,
                heard: 0.25,
                headline: "a string is passed over in one bow".to_owned(),
                what: format!(
                    "Into {} the bow passes over {} without a stop.",
                    evidence.place(piece),
                    if crossing.skipped == 1 { "a string".to_owned() } else { format!("{} strings", crossing.skipped) }
                ),
                why: "The string between may sound: lighten the bow as it passes, or take the note on the nearer string.".to_owned(),
            };
            raws.push(evidence.raw(piece, said).caused_by((crossing.from, crossing.to)));
        }
    }
}
