//! How phrases end.

use super::{Advice, Draft, Need, Topic, Zone};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::{Attack, Mark, Quarters},
};

/// A rest of so many quarters ends a phrase. Assumed.
const PHRASE_REST: i64 = 2;
/// A last note of at least so many seconds has time to taper, and one that fades of so many. Assumed.
const TAPERS_S: f64 = 1.0;
const FADES_S: f64 = 0.5;
/// A note fades, or grows, if its dynamic changes by so many steps. Assumed: where anything grows no phrase ends.
const FADES: f64 = 0.3;
const GROWS: f64 = 0.05;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for stroke in 0..evidence.strokes().len() {
        drafts.extend(phrase_end(evidence, stroke));
    }
}

/// The last note before a longer rest or a double bar.
fn phrase_end(evidence: &Evidence, stroke: usize) -> Option<Draft> {
    let piece = evidence.last_note(stroke);
    let note = evidence.note(piece);
    let score = &evidence.lesson.score;
    let section = score.bars.get(note.bar).is_some_and(|bar| bar.double_barline && bar.end() <= note.end());
    let rest = match stroke + 1 < evidence.strokes().len() {
        true => evidence.silence_before(stroke + 1)?,
        false => Quarters::from(PHRASE_REST),
    };
    let breath = note.marks.contains(&Mark::BreathMark) || note.marks.contains(&Mark::Caesura);
    let ends = section || breath || rest >= Quarters::from(PHRASE_REST);
    let change = evidence.line.dynamics.level(note.end().to_f64() - 1e-6) - evidence.level(piece);
    let (fades, grows) = (change < -FADES, change > GROWS);
    let held = evidence.bowed(piece).sounding_s >= if fades { FADES_S } else { TAPERS_S };
    if !ends || !held && !breath || (evidence.is_loud(piece) && !fades || grows) && !breath {
        return None;
    }
    // Where the same chord comes again in the next bar, the phrase ends there.
    let next = (stroke + 1 < evidence.strokes().len()).then(|| evidence.note(evidence.main_note(stroke + 1)));
    let again = |next: &Attack| next.midi() == note.midi() && next.bar <= note.bar + 1;
    if note.notes.len() > 1 && next.is_some_and(again) && !breath {
        return None;
    }
    let there = Zone::of(evidence.shares(stroke).1).there();
    let (text, how) = if !rest.is_positive() && !breath {
        ("taper", "let it taper, and begin the next note anew")
    } else if breath && note.marks.contains(&Mark::Fermata) {
        ("breathe, lift", "hold it, then lift and set the bow anew")
    } else if breath {
        ("breathe, lift", "end it in time, lift, and set the bow anew")
    } else if fades || evidence.is_soft(piece) {
        ("fade out", "let it die away and leave the string without a sound")
    } else {
        ("taper", "let it taper, then lift")
    };
    let last = section || stroke + 1 == evidence.strokes().len();
    let advice = Advice::new(
        Topic::PhraseEnd,
        if last && fades || breath { Need::Worth } else { Need::IfTime },
        text,
        format!("{} ends the phrase {there}: {how}.", evidence.called(piece)),
        "The end of a phrase is heard as much as its start.",
    );
    Some(advice.over(evidence, piece, hashed((text, evidence.rhythm(stroke)))))
}
