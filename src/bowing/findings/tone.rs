//! What the plan means for the tone: a dynamic that no sounding point keeps.

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
        // The weight of an accent is heard whatever follows.
        let struck = evidence.is_sharp(piece) || evidence.is_accented(piece);
        // After a lift the bow is set where there is enough of it.
        let stroke = evidence.bowing.stroke_of(piece);
        let set = stroke > 0 && evidence.strokes()[stroke].lift_before;
        (tone.keeps == Keeps::Softer && lost >= least && !struck && !set).then_some(lost)
    };
    for (strokes, piece, lost) in runs(&lost) {
        let said = Said {
            kind: Kind::ToneThin,
            verdict: Verdict::Notice,
            about: About::Tone,
            heard: lost / 12.0,
            headline: "it will sound softer than marked".to_owned(),
            what: format!(
                "On {} the bow is too slow in the plan to keep the dynamic of {}, even close to the bridge.",
                evidence.place(piece),
                evidence.note_words(piece)
            ),
            why: "Loudness follows the speed of the bow and how near the bridge it is; beyond the usual points only the speed is left.".to_owned(),
        };
        raws.push(evidence.raw(piece, said).over(strokes).caused_by("soft"));
    }
}
