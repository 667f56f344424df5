//! Dynamics that change at once.

use super::{Advice, Draft, Need, Topic, Zone, places::is_pulsed};
use crate::{
    bowing::{
        Reached,
        evidence::{Evidence, hashed},
    },
    score::{Dynamic, Mark, Quarters, SignKind},
};

/// A change of so many dynamic steps at once is sudden. Assumed: from mf to p, or p to mf.
const SUDDEN: f64 = 1.9;
/// Against a crescendo or diminuendo that leads up to it already so many steps are. Assumed.
const SUDDEN_AGAINST: f64 = 0.9;
/// What a crescendo or diminuendo has led to is prepared if its steps times those at the mark are more. Assumed: half
/// a step of the two that are sudden.
const PREPARED: f64 = 1.0;
/// From here on it must be told where no rest gives time. Assumed: from f to p.
const VERY_SUDDEN: f64 = 2.4;
/// A fall of so many steps must be told even after a rest. Assumed: from f to p.
const FROM_LOUD: f64 = 2.9;
/// How far back an accent is looked for, which a soft level after it answers, s. Assumed.
const STRUCK_S: f64 = 3.0;
/// How far back a crescendo or diminuendo is looked for, quarters. Assumed.
const LEADING: f64 = 2.0;
/// Notes shorter than this have no time for a bow of their own, nor rests for setting it elsewhere, s. Assumed.
const SHORT_S: f64 = 0.3;
/// A rest so long gives time to think of it, quarters. Assumed.
const LONG_REST: i64 = 4;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    for sign in &evidence.lesson.score.signs {
        if let SignKind::Dynamic(level) = sign.kind {
            drafts.extend(sudden(evidence, sign.at, level));
        }
    }
}

fn sudden(evidence: &Evidence, at: Quarters, mark: Dynamic) -> Option<Draft> {
    let dynamics = &evidence.line.dynamics;
    let notes = &evidence.bowing.notes;
    let piece = notes.partition_point(|bowed| evidence.line.notes[bowed.note].onset < at);
    let before = piece.checked_sub(1)?;
    if piece >= notes.len() || !evidence.same_section(before, piece) {
        return None;
    }
    // Under a held note it is the end of that note's accent.
    if evidence.note(before).end() > at {
        return None;
    }
    // What is plucked there has the mark for itself.
    let first = evidence.line.notes.partition_point(|note| note.onset < at);
    if evidence.bowed(piece).note != first {
        return None;
    }
    let end = evidence.note(before).end().min(at).to_f64();
    let ended = dynamics.level(end - 1e-6);
    let step = dynamics.level(at.to_f64()) - ended;
    let led = ended - dynamics.level((end - LEADING).max(0.0));
    let against = step * led < 0.0 && step.abs() >= SUDDEN_AGAINST;
    let ended_s = evidence.bowed(piece).onset_s;
    // A soft level that was printed since then has answered it already.
    let answered = evidence.lesson.score.signs.iter().filter(|sign| sign.at < at).filter_map(|sign| {
        matches!(sign.kind, SignKind::Dynamic(level) if level <= Dynamic::Mp).then_some(sign.at)
    });
    let answered = answered.max();
    let near = |note: &usize| {
        ended_s - evidence.bowed(*note).onset_s <= STRUCK_S
            && answered.is_none_or(|answered| answered <= evidence.note(*note).onset)
    };
    let struck = |note: usize| evidence.is_sharp(note);
    let after_accent =
        step.abs() < 0.5 && mark <= Dynamic::Mp && (0..=before).rev().take_while(near).any(struck);
    if step.abs() < SUDDEN && !against && !after_accent {
        return None;
    }
    // A note that is loud and at once soft is told as an accent; what is neither loud nor soft is not sudden.
    let fades = evidence.note(piece).marks.contains(&Mark::FortePiano);
    if fades || step > 0.5 && mark < Dynamic::F || step < -0.5 && mark > Dynamic::Mp {
        return None;
    }
    let rest = evidence.note(piece).onset - evidence.note(before).end();
    // A loud start is not set in the upper half; where the plan has it there, the word would be false.
    let mild = step > 0.0 && evidence.zone(piece) >= Zone::UpperHalf;
    if rest.is_positive() && mild || rest > Quarters::from(LONG_REST) && step.abs() < VERY_SUDDEN {
        return None;
    }
    let rest_s = ended_s - evidence.bowed(before).onset_s - evidence.bowed(before).sounding_s;
    let direct = !rest.is_positive() || rest_s < SHORT_S;
    let must = step <= -FROM_LOUD
        || direct && (step.abs() >= VERY_SUDDEN || against && step < 0.0 && mark <= Dynamic::P);
    let (text, sentence, why) = words(evidence, before, piece, mark, step <= 0.0, direct);
    // A rest gives time to begin softer by oneself.
    let easy = !direct && (-VERY_SUDDEN..0.0).contains(&step);
    let prepared = step * led >= PREPARED;
    let weight = match (must, easy) {
        _ if prepared || rest > Quarters::from(LONG_REST) => Need::IfTime,
        (true, _) => Need::Must,
        (_, true) => Need::IfTime,
        _ => Need::Worth,
    };
    let advice = Advice::new(Topic::SuddenDynamic, weight, text, sentence, why);
    // Each is a place of its own.
    Some(advice.over(evidence, piece, hashed((at.numer(), at.denom()))))
}

fn words(
    evidence: &Evidence,
    before: usize,
    piece: usize,
    mark: Dynamic,
    softer: bool,
    direct: bool,
) -> (String, String, &'static str) {
    // Grace notes are played with the note they lead to, which is the one to be named.
    let graced = evidence.note(piece).grace.is_some();
    let main = if graced { evidence.main_note(evidence.bowing.stroke_of(piece)) } else { piece };
    let (mut note, last, mark) = (evidence.called(main), evidence.called(before), mark.mark());
    let mut from = format!("from {note} on");
    // Of two notes of one name the second is meant, over which the mark stands.
    if note == last {
        "this note".clone_into(&mut note);
        "from here on".clone_into(&mut from);
    }
    let zone = evidence.zone(piece);
    // Nobody is sent to the frog to play softly.
    let place = if softer && zone == Zone::Frog { String::new() } else { format!(" {}", zone.there()) };
    // Strokes, not notes of a slur.
    let stroke = evidence.bowing.stroke_of(piece);
    let short = evidence.seconds(stroke) < SHORT_S;
    let pulsed = is_pulsed(evidence, main);
    let little = if evidence.main_notes(stroke) == 1 { "tiny strokes" } else { "little bow" };
    let inside = evidence.bowed(piece).reached == Reached::SameStroke;
    match (softer, direct) {
        (true, true) if inside => (
            format!("sudden {mark}, same bow"),
            format!("Slow the bow at once on {note}, without changing it."),
            "Inside the bow only speed and weight can drop.",
        ),
        (true, true) if short => (
            format!("sudden {mark}"),
            format!("At once {mark} {from}: {little}{place}."),
            "What is left of the loud strokes would sound into the soft notes.",
        ),
        (true, true) => (
            format!("sudden {mark}"),
            format!("End {last} a little early and begin {note}{place} with hardly any weight."),
            "What is left of the loud bow would sound into the soft note.",
        ),
        (true, false) => (
            if zone >= Zone::UpperHalf {
                format!("{}, small", zone.word())
            } else {
                "start small".to_owned()
            },
            format!("Use the rest to set the bow{place} and begin {note} {mark}, with little bow."),
            "Soft playing needs little weight from its first moment.",
        ),
        (false, true) if pulsed => (
            "at once heavier".to_owned(),
            format!("At once {mark} {from}: more weight on each pulse, not more bow."),
            "Several notes share the bow: they are loud by weight.",
        ),
        (false, true) if short => (
            "at once more bow".to_owned(),
            format!("At once {mark} {from}: longer strokes with more weight, {}.", zone.there()),
            "Short notes are loud by weight and by the length of each stroke.",
        ),
        (false, true) => (
            if zone <= Zone::LowerHalf {
                format!("{}, full bow", zone.word())
            } else {
                "full bow".to_owned()
            },
            if zone <= Zone::LowerHalf {
                format!("At once {mark} on {note}: a full bow with weight, {}.", zone.there())
            } else {
                format!("At once {mark} on {note}: weight and much bow from its first moment.")
            },
            "Loudness that comes at once needs weight and length at once.",
        ),
        (false, false) => (
            if zone <= Zone::LowerHalf { zone.to_there().to_owned() } else { "set with weight".to_owned() },
            format!("Use the rest to bring the bow {} and set it for the {mark} on {note}.", zone.to_there()),
            "A loud start is prepared in the rest.",
        ),
    }
}
