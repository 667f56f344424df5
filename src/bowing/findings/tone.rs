//! What the plan means for the tone: a dynamic that no sounding point keeps, a weight that presses.

use super::{
    finding::Verdict,
    kinds::Kind,
    said::{About, Raw, Said},
};
use crate::{bowing::evidence::Evidence, tone::Keeps};

pub(super) fn rule(evidence: &Evidence, raws: &mut Vec<Raw>) {
    let least = evidence.rules().least_loss_db;
    // The note of a stroke with the greatest excess for which `spot` gives one.
    let runs = |spot: &dyn Fn(usize) -> Option<f64>| {
        evidence.runs(|stroke| {
            let notes = evidence.strokes()[stroke].notes.clone();
            let heard = notes.filter(|&piece| evidence.ratio(piece).is_some());
            heard.filter_map(|piece| Some((piece, spot(piece)?))).max_by(|a, b| a.1.total_cmp(&b.1))
        })
    };
    let lost = |piece: usize| {
        let tone = &evidence.tones.notes[piece];
        let lost = tone.level_db.abs();
        (!tone.choked && tone.keeps != Keeps::Kept && lost >= least).then_some(lost)
    };
    for (strokes, piece, lost) in runs(&lost) {
        let softer = evidence.tones.notes[piece].keeps == Keeps::Softer;
        let said = Said {
            kind: Kind::ToneThin,
            verdict: Verdict::Notice,
            about: About::Tone,
            heard: lost / 12.0,
            headline: format!("it will sound {}", if softer { "softer than marked" } else { "louder than marked" }),
            what: format!(
                "On {} the bow is too {} in the plan to keep the dynamic of {}, even {}.",
                evidence.place(piece),
                if softer { "slow" } else { "fast" },
                evidence.note_words(piece),
                if softer { "close to the bridge" } else { "at the fingerboard" }
            ),
            why: "Loudness follows the speed of the bow and how near the bridge it is; beyond the usual points only the speed is left.".to_owned(),
        };
        raws.push(evidence.raw(piece, said).over(strokes).caused_by(softer));
    }
    let pressed = |piece: usize| {
        let tone = &evidence.tones.notes[piece];
        tone.choked.then(|| tone.usual.weight_n / tone.limits.most_n.max(1e-9))
    };
    for (strokes, piece, excess) in runs(&pressed) {
        let said = Said {
            kind: Kind::ToneChoked,
            verdict: Verdict::Notice,
            about: About::Tone,
            heard: 0.3 + 0.2 * excess.ln(),
            headline: "the usual weight would press the sound".to_owned(),
            what: format!(
                "On {} the usual weight of this dynamic is more than the string takes at the speed of the plan.",
                evidence.place(piece)
            ),
            why: "The slower the bow, the less weight a string takes before the sound chokes: lighter here, or more bow.".to_owned(),
        };
        raws.push(evidence.raw(piece, said).over(strokes).caused_by("choked"));
    }
}
