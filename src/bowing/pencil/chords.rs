//! Chords and double stops.

use std::collections::BTreeMap;

use super::{Advice, Draft, Need, Topic, Zone};
use crate::{
    bowing::evidence::{Evidence, hashed},
    score::{Direction, Quarters},
};

/// So many double stops in a row are a passage in two parts. Assumed.
const IN_TWO_PARTS: usize = 4;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let beside = beside(evidence);
    let mut double_before = 0;
    for stroke in 0..evidence.strokes().len() {
        let piece = evidence.main_note(stroke);
        let note = evidence.note(piece);
        let heads = note.notes.len();
        let graces = grace_heads(evidence, stroke, piece);
        let under = beside.range(note.onset..note.end()).count();
        let whole = beside.get(&note.onset).map_or(heads, |others| {
            let mut midi: Vec<f64> = others.iter().copied().chain(note.midi()).collect();
            midi.sort_by(f64::total_cmp);
            midi.dedup();
            midi.len()
        });
        if whole > 2 || heads + graces > 2 && graces > 1 {
            drafts.push(chord(evidence, stroke, piece, whole.max(heads + graces)));
        } else if under > 1 {
            drafts.push(two_voices(evidence, piece));
        } else if heads == 2 && evidence.is_accented(piece) {
            drafts.push(struck(evidence, stroke, piece));
        } else if heads == 2 && double_before == 0 && in_two_parts(evidence, stroke) {
            drafts.push(two_parts(evidence, stroke, piece));
        } else if heads == 2 && double_before == 0 && !evidence.plan.unplanned[piece] {
            drafts.push(both(evidence, stroke, piece));
        }
        double_before = if heads == 2 { double_before + 1 } else { 0 };
    }
}

/// What begins in other voices that the plan leaves out: MIDI numbers by onset.
fn beside(evidence: &Evidence) -> BTreeMap<Quarters, Vec<f64>> {
    let mut beside: BTreeMap<Quarters, Vec<f64>> = BTreeMap::new();
    for event in &evidence.lesson.score.events {
        let played = !event.is_rest() && !event.cue && event.grace.is_none();
        if played && evidence.line.note_of(event.id).is_none() {
            let begun = event.notes.iter().filter(|note| !note.tie_stop).map(|note| note.pitch.midi());
            beside.entry(event.onset).or_default().extend(begun);
        }
    }
    beside.retain(|_, begun| !begun.is_empty());
    beside
}

/// A held note over a moving second voice.
fn two_voices(evidence: &Evidence, piece: usize) -> Draft {
    let advice = Advice::new(
        Topic::Chord,
        Need::Must,
        "hold both, one bow",
        format!(
            "Two voices: {} goes on sounding while the other voice moves under it in the same bow, equal weight on both strings.",
            evidence.called(piece)
        ),
        "A change of bow for every note of the moving voice would cut the held note.",
    );
    advice.over(evidence, piece, hashed("two voices"))
}

/// Most heads at once of the grace notes that lead to the main note of a stroke.
fn grace_heads(evidence: &Evidence, stroke: usize, piece: usize) -> usize {
    let graces = evidence.first(stroke)..piece;
    graces.map(|grace| evidence.note(grace).notes.len()).max().unwrap_or_default()
}

fn chord(evidence: &Evidence, stroke: usize, piece: usize, count: usize) -> Draft {
    let loud = evidence.is_loud(piece);
    let must = count > 3 || evidence.is_accented(piece) || loud && evidence.is_first_beat(piece);
    let zone = evidence.zone(evidence.first(stroke));
    let low = zone <= Zone::LowerHalf;
    let up = evidence.way(stroke) == Direction::Up;
    let short = evidence.seconds(stroke) < SHORT_S;
    let (word, how) = if short {
        ("all at once", "all strings nearly together, and off")
    } else if evidence.is_soft(piece) {
        ("roll gently", "roll it gently with little bow")
    } else {
        ("break", "break it with very little bow and hold the upper strings")
    };
    let (word, how) = match evidence.is_only_struck(piece) {
        true => ("let go".to_owned(), format!("{how}, and let the weight go at once")),
        false => (word.to_owned(), how.to_owned()),
    };
    let text = match (low, up) {
        (true, false) => format!("{}, {word}", zone.word()),
        (true, true) => format!("up, {}, {word}", zone.word()),
        (false, _) => word,
    };
    let chord = match evidence.note(piece).notes.len() {
        3.. => evidence.called(piece),
        _ if evidence.first(stroke) < piece => "the chord with its grace notes".to_owned(),
        _ => format!("the chord under {}", evidence.called(piece)),
    };
    // Far from the frog a chord is where the bow happens to be, which is nothing to ask for.
    let set = if low {
        format!("Set {chord} {}", zone.there())
    } else {
        format!("Set the bow for {chord} before it sounds")
    };
    let why = match (up, low) {
        (true, _) => "On an up-bow the weight of the arm does not fall into the chord by itself.",
        (false, true) => "A chord needs the weight of the arm, and that is greatest near the frog.",
        (false, false) => {
            "So far from the frog the strings speak together only if the bow is on them before."
        }
    };
    let figure = hashed((count, loud, evidence.is_accented(piece), evidence.rhythm(stroke)));
    let weight = if must { Need::Must } else { Need::Worth };
    Advice::new(Topic::Chord, weight, text, format!("{set}: {how}."), why).over(evidence, piece, figure)
}

/// A chord shorter than this is not held, s. Assumed.
const SHORT_S: f64 = 0.5;

/// Two strings struck with an accent.
fn struck(evidence: &Evidence, stroke: usize, piece: usize) -> Draft {
    let light = evidence.is_only_struck(piece);
    let up = evidence.way(stroke) == Direction::Up;
    let (text, how) = match (light, up) {
        (true, _) => ("both at once, let go", ", and the weight goes at once"),
        (false, true) => ("both at once, up-bow", ", as heavy as on a down-bow"),
        (false, false) => ("both strings at once", ""),
    };
    let (called, there) = (evidence.called(piece), evidence.zone(piece).there());
    // Out of a note on the string there is no time to set the bow.
    let set = evidence.silence_before(stroke).is_none_or(Quarters::is_positive);
    let mut advice = Advice::new(
        Topic::Chord,
        Need::Worth,
        text,
        if set {
            format!("Have the bow on both strings before {called} begins, {there}; they speak together{how}.")
        } else {
            format!("Take both strings of {called} at the same moment, {there}; they speak together{how}.")
        },
        "An accent on one string alone leaves the other silent.",
    );
    advice.also = up.then_some(Topic::Accent);
    advice.over(evidence, piece, hashed(("struck", up)))
}

/// A double stop between single notes.
fn both(evidence: &Evidence, stroke: usize, piece: usize) -> Draft {
    let held = evidence.seconds(stroke) >= SHORT_S;
    let called = evidence.called(piece);
    // Out of a note on the string there is no time to set the bow.
    let set = evidence.silence_before(stroke).is_none_or(Quarters::is_positive);
    let advice = Advice::new(
        Topic::Chord,
        if held || evidence.is_loud(piece) { Need::Worth } else { Need::IfTime },
        "both strings equal",
        if set {
            format!("Have the bow on both strings before {called} begins, with equal weight.")
        } else {
            format!("Take both strings of {called} at the same moment, with equal weight.")
        },
        "The string that has less weight speaks late.",
    );
    advice.over(evidence, piece, hashed(("both", held)))
}

/// From this stroke on there are several double stops.
fn in_two_parts(evidence: &Evidence, stroke: usize) -> bool {
    let next = stroke..evidence.strokes().len();
    let joined =
        |next: usize| next == stroke || !evidence.silence_before(next).is_some_and(Quarters::is_positive);
    let doubled = |next: &usize| evidence.note(evidence.main_note(*next)).notes.len() == 2 && joined(*next);
    next.take_while(doubled).take(IN_TWO_PARTS).count() == IN_TWO_PARTS
}

fn two_parts(evidence: &Evidence, stroke: usize, piece: usize) -> Draft {
    let held = evidence.seconds(stroke) >= SHORT_S;
    let advice = Advice::new(
        Topic::Chord,
        if held || evidence.is_loud(piece) { Need::Worth } else { Need::IfTime },
        "both strings equal",
        format!(
            "Two strings together from {} on: equal weight on both, also at the bow changes.",
            evidence.called(piece)
        ),
        "The string that has less weight drops out first.",
    );
    advice.over(evidence, piece, hashed("two parts"))
}
