//! The sound that words over the staff ask for, as the bow makes it.

use super::{Advice, Draft, Need, Topic, Zone};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::{Sound, StrokeType},
};

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let mut before = None;
    for stroke in 0..evidence.strokes().len() {
        let piece = evidence.main_note(stroke);
        let now = evidence.note(piece).manner.sound;
        if now != before
            && let Some(sound) = now
            && drawn(evidence, piece)
        {
            drafts.push(told(evidence, piece, sound));
        }
        before = now;
    }
}

/// The bow draws the note: what bounces or trembles has a mark of its own.
fn drawn(evidence: &Evidence, piece: usize) -> bool {
    use StrokeType::{Colle, Detache, Legato, Lifted, Martele, Portato, SlurredStaccato};
    let of_it = matches!(
        evidence.bowed(piece).stroke_type,
        Colle | Detache | Legato | Lifted | Martele | Portato | SlurredStaccato
    );
    of_it && evidence.plan.piece(piece).moves()
}

fn told(evidence: &Evidence, piece: usize, sound: Sound) -> Draft {
    let from = evidence.called(piece);
    let zone = evidence.zone(piece);
    let (suits, how, sentence, why) = match sound {
        Sound::Sung => (
            false,
            "long, joined",
            format!("Sing from {from} on: bows as long as the notes, joined at the changes."),
            "A tune is carried by a bow that does not stop.",
        ),
        Sound::Gentle => (
            zone >= Zone::Middle,
            "light, even",
            format!("From {from} on a light, even bow, and no weight at the changes."),
            "What is gentle has more bow than weight.",
        ),
        Sound::Heavy => (
            zone <= Zone::LowerHalf,
            "slow, with weight",
            format!("From {from} on a slow bow with the weight of the arm in it."),
            "Under weight a fast bow only scratches.",
        ),
        Sound::Marked => (
            zone <= Zone::Middle,
            "grip, then go on",
            format!("From {from} on every bow grips the string first and then goes on: marked, not short."),
            "A marked start is made before the note, by weight.",
        ),
    };
    let text = if suits { format!("{}, {how}", zone.word()) } else { how.to_owned() };
    let advice = Advice::new(Topic::StrokePlace, Need::Worth, text, sentence, why);
    advice.over(evidence, piece, hashed(("sound", sound)))
}
