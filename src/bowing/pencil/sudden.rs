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
const LEADING: i64 = 2;
/// How far back a crescendo is looked for that a soft level breaks off, quarters, its least steps, and how many
/// quarters it takes to be more than a swell. Assumed.
const GROWN_SINCE: i64 = 8;
const GROWN: f64 = 0.5;
const GROWING_QUARTERS: f64 = 2.5;
/// Notes shorter than this have no time for a bow of their own, nor rests for setting it elsewhere, s. Assumed.
const SHORT_S: f64 = 0.3;
/// What a diminuendo of so many steps leads to is no answer to an accent. Assumed.
const LED_AWAY: f64 = 0.4;
/// A rest so long gives time to think of it, quarters. Assumed.
const LONG_REST: i64 = 4;

/// A crescendo that rises by so many steps arrives where the level it leads to is printed. Assumed.
const ARRIVES: f64 = 0.9;

/// How a level comes.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Comes {
    /// With a note, and nothing gives time before it.
    Directly,
    /// After a rest.
    InTime,
    /// Under a note that goes on sounding.
    Held,
    /// As the goal of a crescendo.
    Led,
}

/// A level that comes at once, or that a crescendo arrives at.
pub(super) struct Change {
    /// The piece it stands over.
    piece: usize,
    /// Where it is printed.
    at: Quarters,
    /// What is printed.
    mark: Dynamic,
    /// It is softer than what came before, or as soft after a hard accent.
    softer: bool,
    comes: Comes,
    /// How much it needs to be told.
    pub weight: Need,
}

/// All such levels, in no order.
pub(super) fn changes(evidence: &Evidence) -> Vec<Change> {
    let signs = evidence.lesson.score.signs.iter();
    let change = |(at, kind): (Quarters, &SignKind)| match kind {
        SignKind::Dynamic(level) => change(evidence, at, *level),
        _ => None,
    };
    signs.filter_map(|sign| change((sign.at, &sign.kind))).collect()
}

fn change(evidence: &Evidence, at: Quarters, mark: Dynamic) -> Option<Change> {
    let dynamics = &evidence.line.dynamics;
    let notes = &evidence.bowing.notes;
    let piece = notes.partition_point(|bowed| evidence.line.notes[bowed.note].onset < at);
    let before = piece.checked_sub(1)?;
    if piece >= notes.len() || !evidence.same_section(before, piece) {
        return None;
    }
    if evidence.note(before).end() > at {
        return under(evidence, before, at, mark);
    }
    // What is plucked there has the mark for itself.
    let first = evidence.line.notes.partition_point(|note| note.onset < at);
    if evidence.bowed(piece).note != first {
        return None;
    }
    let end = evidence.note(before).end().min(at);
    let step = dynamics.level(at.to_f64()) - dynamics.level(end.to_f64() - 1e-6);
    let led = grown(evidence, end - Quarters::from(LEADING), end);
    let against = step.abs() >= SUDDEN_AGAINST && (step * led < 0.0 || step < 0.0 && has_grown(evidence, at));
    let level = step.abs() < 0.5;
    let after_accent =
        level && mark <= Dynamic::Mp && led > -LED_AWAY && answers_an_accent(evidence, before, at);
    let arrives =
        level && mark >= Dynamic::Ff && grown(evidence, end - Quarters::from(GROWN_SINCE), end) >= ARRIVES;
    if step.abs() < SUDDEN && !against && !after_accent && !arrives {
        return None;
    }
    // A note that is loud and at once soft is told as an accent; what is a middle level is not sudden, but for one
    // that stands out from what was soft.
    let fades = evidence.note(piece).marks.contains(&Mark::FortePiano);
    if fades || step > 0.5 && mark < Dynamic::Mf || step < -0.5 && mark > Dynamic::Mp {
        return None;
    }
    let rest = evidence.note(piece).onset - evidence.note(before).end();
    // A loud start is not set in the upper half; where the plan has it there, the word would be false.
    if rest.is_positive() && step > 0.0 && evidence.zone(piece) >= Zone::UpperHalf {
        return None;
    }
    let rest_s =
        evidence.bowed(piece).onset_s - evidence.bowed(before).onset_s - evidence.bowed(before).sounding_s;
    let direct = !rest.is_positive() || rest_s < SHORT_S;
    let must = step <= -FROM_LOUD
        || direct && (step.abs() >= VERY_SUDDEN || against && step < 0.0 && mark <= Dynamic::P);
    let weight = match must {
        _ if step * led >= PREPARED => Need::IfTime,
        true if rest <= Quarters::from(LONG_REST) => Need::Must,
        _ => Need::Worth,
    };
    let comes = match (arrives, direct) {
        (true, true) => Comes::Led,
        (_, true) => Comes::Directly,
        (_, false) => Comes::InTime,
    };
    Some(Change { piece, at, mark, softer: step <= 0.0 && !arrives, comes, weight })
}

/// How far crescendos and diminuendos lead from one moment to another, dynamic steps; what changes at once does not
/// count.
fn grown(evidence: &Evidence, from: Quarters, until: Quarters) -> f64 {
    let pieces = evidence.line.dynamics.pieces(from.max(Quarters::ZERO), until);
    pieces.iter().map(|(_, _, start, end)| end - start).sum()
}

/// A crescendo led away from the last level that is printed before `at`, and holds until there though its sign ends.
fn has_grown(evidence: &Evidence, at: Quarters) -> bool {
    let signs = evidence.lesson.score.signs.iter();
    let printed = signs.filter(|sign| sign.at < at && matches!(sign.kind, SignKind::Dynamic(_)));
    let since =
        printed.map(|sign| sign.at).max().unwrap_or(Quarters::ZERO).max(at - Quarters::from(GROWN_SINCE));
    let pieces = evidence.line.dynamics.pieces(since, at);
    let growing = pieces.iter().filter(|(_, _, start, end)| end > start);
    let quarters: f64 = growing.map(|(from, until, ..)| until - from).sum();
    let (Some(first), Some(last)) = (pieces.first(), pieces.last()) else { return false };
    quarters >= GROWING_QUARTERS && last.3 - first.2 >= GROWN
}

/// A soft level at `at` answers a hard accent a little before it, and none was printed since then.
fn answers_an_accent(evidence: &Evidence, before: usize, at: Quarters) -> bool {
    let signs = evidence.lesson.score.signs.iter().filter(|sign| sign.at < at);
    let soft = |kind: &SignKind| matches!(kind, SignKind::Dynamic(level) if *level <= Dynamic::Mp);
    let answered = signs.filter(|sign| soft(&sign.kind)).map(|sign| sign.at).max();
    let now_s = evidence.bowed(before + 1).onset_s;
    let near = |note: &usize| {
        now_s - evidence.bowed(*note).onset_s <= STRUCK_S
            && answered.is_none_or(|answered| answered <= evidence.note(*note).onset)
    };
    (0..=before).rev().take_while(near).any(|note| evidence.is_sharp(note))
}

/// A soft level under a note that is held, after a crescendo. After an accent it is the end of that.
fn under(evidence: &Evidence, piece: usize, at: Quarters, mark: Dynamic) -> Option<Change> {
    let level = |at: f64| evidence.line.dynamics.level(at);
    let ended = level(at.to_f64() - 1e-6);
    let drops = ended - level(at.to_f64());
    if evidence.is_accented(piece) || drops < SUDDEN_AGAINST || mark > Dynamic::P || !has_grown(evidence, at)
    {
        return None;
    }
    Some(Change { piece, at, mark, softer: true, comes: Comes::Held, weight: Need::Worth })
}

impl Change {
    /// The stroke that begins with it, if one does.
    pub(super) fn stroke(&self, evidence: &Evidence) -> Option<usize> {
        let stroke = evidence.bowing.stroke_of(self.piece);
        (self.comes != Comes::Held && self.piece <= evidence.main_note(stroke)).then_some(stroke)
    }

    /// As it is written over the staff.
    pub(super) fn word(&self) -> &'static str {
        self.mark.mark()
    }

    /// As an addition to a sentence about the bow that begins with it.
    pub(super) fn with_its_bow(&self) -> String {
        match self.softer {
            true => format!(", {} and with little bow", self.word()),
            false => format!(", {} at once, with weight", self.word()),
        }
    }

    /// What sets it apart from all others.
    pub(super) fn key(&self) -> (i64, i64) {
        (self.at.numer(), self.at.denom())
    }

    /// As a mark of its own.
    pub(super) fn draft(&self, evidence: &Evidence) -> Option<Draft> {
        let (text, sentence, why) = match self.comes {
            Comes::Held => (
                format!("sudden {}, same bow", self.word()),
                format!(
                    "Let the weight go at once on {}: {} is still held there, in the same bow.",
                    evidence.place_at(self.at).in_bar_words(),
                    evidence.called(self.piece)
                ),
                "Inside the bow only speed and weight can drop.",
            ),
            comes => {
                let before = self.piece.checked_sub(1)?;
                words(evidence, before, self.piece, self.mark, self.softer, comes)
            }
        };
        let advice = Advice::new(Topic::SuddenDynamic, self.weight, text, sentence, why);
        // Each is a place of its own.
        Some(advice.over(evidence, self.piece, hashed(self.key())))
    }
}

fn words(
    evidence: &Evidence,
    before: usize,
    piece: usize,
    mark: Dynamic,
    softer: bool,
    comes: Comes,
) -> (String, String, &'static str) {
    // Grace notes are played with the note they lead to, which is the one to be named.
    let graced = evidence.note(piece).grace.is_some();
    let main = if graced { evidence.main_note(evidence.bowing.stroke_of(piece)) } else { piece };
    let mark_is_middle = mark < Dynamic::F;
    let middle = mark > Dynamic::P;
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
    let next = (stroke + 1 < evidence.strokes().len()).then_some(stroke + 1);
    let alone = next.and_then(|next| evidence.silence_before(next)).is_none_or(Quarters::is_positive);
    let pulsed = is_pulsed(evidence, main);
    let little = if evidence.main_notes(stroke) == 1 { "tiny strokes" } else { "little bow" };
    let inside = evidence.bowed(piece).reached == Reached::SameStroke;
    let weight = if middle { "less weight" } else { "hardly any weight" };
    let direct = comes != Comes::InTime;
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
            match evidence.note(before).end() < evidence.note(piece).onset {
                true => format!("Begin {note}{place} with {weight}."),
                false => format!("End {last} a little early and begin {note}{place} with {weight}."),
            },
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
        _ if comes == Comes::Led => (
            if zone <= Zone::LowerHalf {
                format!("{}, full bow", zone.word())
            } else {
                "full bow".to_owned()
            },
            format!("The crescendo arrives at {mark} on {note}: a full bow with weight, {}.", zone.there()),
            "What a crescendo leads to is its loudest place.",
        ),
        (false, true) if mark_is_middle => (
            "at once more bow".to_owned(),
            format!("At once {mark} {from}: more bow and a little more weight from its first moment."),
            "A new level is heard from its first note.",
        ),
        (false, true) if pulsed => (
            "at once heavier".to_owned(),
            format!("At once {mark} {from}: more weight on each pulse, not more bow."),
            "Several notes share the bow: they are loud by weight.",
        ),
        (false, true) if short && alone => (
            "at once heavier".to_owned(),
            format!("At once {mark} on {note}: short, with weight, {}.", zone.there()),
            "One short note is loud by its quick, heavy start.",
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
