//! Accents: what the bow does not do by itself.

use std::collections::BTreeSet;

use super::{Advice, Draft, Need, Topic};
use crate::{
    bowing::{
        Reached,
        evidence::{Evidence, hashed},
    },
    score::{Direction, Dynamic, Mark, Quarters, Sound, count_words},
};

/// A bow that has to keep something for an accent inside it is marked at its start too if the accent comes
/// so much later, s, after so many notes. Assumed.
const SAVE_FOR_S: f64 = 1.0;
const SAVE_FOR_NOTES: usize = 3;
/// A note fades after its accent if its dynamic falls by so many steps while it sounds. Assumed.
const FADES: f64 = 0.4;
/// A note that fades for so long is not let go at once, s. Assumed.
const HELD_S: f64 = 1.5;
/// So many accents one after another are told as one, with rests of at most so many quarters between. Assumed.
const ROW: usize = 3;
const ROW_REST: Quarters = Quarters::ONE;
/// A bow that begins with an accent grows if it ends so many steps louder. Assumed.
const GROWS: f64 = 0.5;
/// A shorter bow has no time for two speeds, s. Assumed.
const GROWS_S: f64 = 0.5;
/// The level rises on if in so many quarters it does so by at least the one and less than the other, which would be a
/// new level, steps. Assumed.
const SOON: f64 = 0.1;
const RISES: f64 = 1e-3;
const AT_ONCE: f64 = 0.4;
/// A note of so many seconds has time to ring after its accent. Assumed.
const RINGS_S: f64 = 0.25;
/// An accented bow of so many seconds has no bow to give away at its start. Assumed.
const LONG_S: f64 = 2.0;
const ALIKE: &str = "accents alike";
/// A note is the goal of a crescendo that rises by so many steps in so many quarters before it. Assumed.
const LED_STEPS: f64 = 0.7;
const LED_QUARTERS: f64 = 2.0;

pub(super) fn rule(evidence: &Evidence, drafts: &mut Vec<Draft>) {
    let mut row_end = 0;
    for stroke in 0..evidence.strokes().len() {
        let main = evidence.main_note(stroke);
        if stroke >= row_end
            && let Some((draft, end)) = row(evidence, stroke)
        {
            drafts.push(draft);
            row_end = end;
        }
        drafts.extend(evidence.strokes()[stroke].notes.clone().filter_map(|piece| late(evidence, piece)));
        for piece in evidence.strokes()[stroke].notes.clone().filter(|&piece| evidence.is_accented(piece)) {
            if piece == main && stroke < row_end {
                continue;
            }
            if piece == main || evidence.bowed(piece).reached != Reached::SameStroke {
                drafts.push(starting(evidence, stroke, piece));
            } else {
                inside(evidence, stroke, piece, drafts);
            }
        }
    }
}

/// Strokes with the same accent one after another: told with the first of them. The stroke behind the last.
fn row(evidence: &Evidence, first: usize) -> Option<(Draft, usize)> {
    let goes_on = |next: usize| {
        let rest = evidence.silence_before(next).is_none_or(|rest| rest > ROW_REST);
        !rest && is_alike(evidence, evidence.main_note(next - 1), evidence.main_note(next))
    };
    let end = (first + 1..evidence.strokes().len()).find(|&next| !goes_on(next));
    let end = end.unwrap_or(evidence.strokes().len());
    if end - first < ROW {
        return None;
    }
    let up = (first..end).any(|stroke| evidence.way(stroke) == Direction::Up);
    let (ups, why) = match up {
        true => (", the up-bows too", "On an up-bow the accent does not come by itself."),
        false => ("", "One that is weaker sounds like a mistake."),
    };
    // A chord has a mark of its own, and soft accents are not struck.
    let told = (first..end).map(|stroke| evidence.main_note(stroke));
    let piece = told.clone().find(|&piece| evidence.note(piece).notes.len() < 3)?;
    let start =
        if told.clone().all(|piece| is_gentle(evidence, piece)) { "gentle weight" } else { "quick start" };
    let advice = Advice::new(
        Topic::Accent,
        Need::Worth,
        ALIKE,
        format!(
            "From {} on {} accents: give each the same {start}{ups}.",
            evidence.called(piece),
            count_words(end - first)
        ),
        why,
    );
    Some((advice.over(evidence, piece, hashed(("row", evidence.rhythm(first)))), end))
}

/// An accent in the course of a tied note.
fn late(evidence: &Evidence, piece: usize) -> Option<Draft> {
    let note = evidence.note(piece);
    let place = evidence.place_at(note.late_accent?);
    let advice = Advice::new(
        Topic::Accent,
        Need::Worth,
        "lean later, same bow",
        format!(
            "Begin {} without an accent and lean into it on {}, without changing the bow.",
            evidence.called(piece),
            place.in_bar_words()
        ),
        "The accent comes while the note is held.",
    );
    Some(advice.over(
        evidence,
        piece,
        hashed(("late", place.beat, evidence.rhythm(evidence.bowing.stroke_of(piece)))),
    ))
}

/// An accent inside a bow.
fn inside(evidence: &Evidence, stroke: usize, piece: usize, drafts: &mut Vec<Draft>) {
    let sharp = evidence.is_sharp(piece);
    let note = evidence.called(piece);
    let main = evidence.main_note(stroke);
    let stopped = evidence.bowing.is_stopped(evidence.line, piece);
    let figure = hashed((sharp, piece.checked_sub(main), evidence.rhythm(stroke)));
    let last = piece == evidence.last_note(stroke);
    let arrives = evidence.note(piece).marks.contains(&Mark::Sforzando) && evidence.is_first_beat(piece);
    if last && arrives && piece >= main + 2 && !stopped {
        let advice = Advice::new(
            Topic::SlurChange,
            Need::Must,
            "own bow?",
            format!(
                "{note} hangs at the end of the slur: give it a bow of its own, or keep enough bow to lean into it."
            ),
            "The strongest note comes where the bow is used up.",
        );
        drafts.push(advice.over(evidence, piece, figure));
        return;
    }
    let seconds = evidence.bowed(piece).onset_s - evidence.bowed(main).onset_s;
    let weight = if sharp { Need::Must } else { Need::Worth };
    if seconds < SAVE_FOR_S || piece - main < SAVE_FOR_NOTES {
        let advice = Advice::new(
            Topic::Accent,
            weight,
            "save, then lean",
            format!("Keep bow back for {note} and lean into it without changing the bow."),
            "The accent comes inside the bow, where no change of direction makes it.",
        );
        drafts.push(Advice { also: Some(Topic::Amount), ..advice }.over(evidence, piece, figure));
        return;
    }
    let before = count_words(piece - main);
    let save = Advice::new(
        Topic::Amount,
        Need::Worth,
        "save",
        format!("Save: the accent on {note} comes in this same bow, after {before} other notes."),
        "What is spent before the accent is missing in it.",
    );
    drafts.push(save.over(evidence, main, hashed(("accent", figure))));
    let lean = Advice::new(
        Topic::Accent,
        weight,
        "lean, same bow",
        format!(
            "Lean into {note} with the first finger, {}, without changing the bow.",
            evidence.zone(piece).there()
        ),
        "The accent comes inside the bow, where no change of direction makes it.",
    );
    drafts.push(lean.over(evidence, piece, figure));
}

impl Evidence<'_> {
    /// After its accent the note is soft.
    pub(super) fn is_only_struck(&self, piece: usize) -> bool {
        let note = self.note(piece);
        let end = self.line.dynamics.level(note.end().to_f64() - 1e-6);
        let fades = self.is_accented(piece) && end + FADES < self.level(piece);
        note.marks.contains(&Mark::FortePiano) || fades && self.bowed(piece).sounding_s < HELD_S
    }

    /// A crescendo leads to a note.
    pub(super) fn is_led_to(&self, piece: usize) -> bool {
        let at = self.note(piece).onset.to_f64();
        let levels = &self.line.dynamics;
        levels.level(at - 1e-6) - levels.level((at - LED_QUARTERS).max(0.0)) >= LED_STEPS
    }

    /// A stroke ends louder than it begins, and the crescendo is all in it.
    pub(super) fn grows(&self, stroke: usize) -> bool {
        let main = self.main_note(stroke);
        let (onset, end) = (self.note(main).onset.to_f64(), self.note(self.last_note(stroke)).end().to_f64());
        let level = |at: f64| self.line.dynamics.level(at);
        let before = level(onset) - level((onset - SOON).max(0.0));
        let after = level(end + SOON) - level(end - 1e-6);
        self.seconds(stroke) >= GROWS_S
            && self.end_level(stroke) - self.level(main) >= GROWS
            && ![before, after].iter().any(|rise| (RISES..AT_ONCE).contains(rise))
    }
}

/// An accent at the start of a bow, or after a stop in it.
fn starting(evidence: &Evidence, stroke: usize, piece: usize) -> Draft {
    let advice = if piece == evidence.main_note(stroke) && evidence.grows(stroke) {
        growing(evidence, piece)
    } else if evidence.way(stroke) == Direction::Up {
        on_up_bow(evidence, stroke, piece)
    } else {
        on_down_bow(evidence, piece)
    };
    let strong = evidence.is_first_beat(piece);
    // What answers the accent before it answers it in every figure.
    let own = (advice.text != ALIKE).then(|| (evidence.is_sharp(piece), strong, evidence.rhythm(stroke)));
    let figure = hashed((&advice.text, own));
    advice.over(evidence, piece, figure)
}

/// An accent on a bow that grows: the accent takes none of the bow that the crescendo needs.
fn growing(evidence: &Evidence, piece: usize) -> Advice {
    Advice::new(
        Topic::Accent,
        Need::Worth,
        "lean, save, spend",
        format!(
            "Lean into the start of {} with weight, not with bow: most of the bow belongs to the end, where it is loudest.",
            evidence.called(piece)
        ),
        "An accent with much bow leaves none for the crescendo.",
    )
}

fn on_up_bow(evidence: &Evidence, stroke: usize, piece: usize) -> Advice {
    let sharp = evidence.is_sharp(piece);
    let note = evidence.called(piece);
    let there = evidence.zone(piece).there();
    let answered = stroke.checked_sub(1).is_some_and(|before| {
        evidence.way(before) == Direction::Down && is_alike(evidence, evidence.main_note(before), piece)
    });
    let strong = evidence.is_first_beat(piece) || sharp && evidence.is_half_bar(piece);
    if strong {
        let beat = if evidence.is_first_beat(piece) { "strong beat" } else { "accent" };
        let (text, how) = if is_gentle(evidence, piece) {
            ("lean in, up-bow", format!("lean into it {there} with the first finger"))
        } else {
            ("bite, up-bow", format!("start it {there} with a bite, as heavy as a down-bow"))
        };
        return Advice::new(
            Topic::StrongBeatUp,
            match text {
                _ if sharp => Need::Must,
                "lean in, up-bow" => Need::IfTime,
                _ => Need::Worth,
            },
            text,
            format!("The {beat} on {note} is an up-bow: {how}."),
            "A strong start is heavy by itself on a down-bow only.",
        );
    }
    if answered {
        let start = if is_gentle(evidence, piece) { "gentle weight" } else { "quick start" };
        return Advice::new(
            Topic::Accent,
            Need::Worth,
            ALIKE,
            format!("The accents come down and up in turn: give the up-bow on {note} the same {start}."),
            "On an up-bow the accent does not come by itself.",
        );
    }
    let (text, sentence) = if is_gentle(evidence, piece) {
        (
            "lean in, up-bow",
            format!("{note} is accented on an up-bow: lean into it {there} with the first finger."),
        )
    } else {
        (
            "bite, up-bow",
            format!("{note} is accented on an up-bow: dig in with the first finger {there}, then let go."),
        )
    };
    Advice::new(
        Topic::Accent,
        Need::Worth,
        text,
        sentence,
        "On an up-bow the accent does not come by itself.",
    )
}

/// Two notes have the same accent, and neither is so much louder that it shall stand out.
fn is_alike(evidence: &Evidence, one: usize, other: usize) -> bool {
    let accents = |piece: usize| -> BTreeSet<Mark> {
        evidence.note(piece).marks.iter().copied().filter(|mark| mark.is_accent()).collect()
    };
    let accent = accents(one);
    !accent.is_empty()
        && accent == accents(other)
        && (evidence.level(one) - evidence.level(other)).abs() <= FADES
}

/// In p, in a slur, and in a slow tune that is not loud, an accent is a warm one. Assumed: a slur up to f; a note of so
/// many seconds, up to mf. So is one in a diminuendo, up to mf: it falls by so many steps in the note. Under "marcato"
/// none is.
fn is_gentle(evidence: &Evidence, piece: usize) -> bool {
    const SLOW_S: f64 = 0.6;
    const FALLS: f64 = 0.05;
    let note = evidence.note(piece);
    let marks = &note.marks;
    let soft = marks.contains(&Mark::SoftAccent);
    let stroke = evidence.bowing.stroke_of(piece);
    let sung = evidence.main_notes(stroke) > 1
        && note.slur.is_some()
        && !marks.contains(&Mark::StrongAccent)
        && evidence.level(piece) < Dynamic::Ff as usize as f64 - 0.25;
    if note.manner.sound == Some(Sound::Marked) {
        return false;
    }
    let end = evidence.line.dynamics.level(note.end().to_f64() - 1e-6);
    let falls =
        end + FALLS < evidence.level(piece) && evidence.level(piece) < Dynamic::Mf as usize as f64 + 0.1;
    (sung || falls || evidence.is_soft(piece)) && !evidence.is_sharp(piece)
        || soft && !marks.iter().any(|mark| mark.is_accent() && *mark != Mark::SoftAccent)
        || evidence.bowed(piece).sounding_s >= SLOW_S && !evidence.is_loud(piece) && !evidence.is_sharp(piece)
}

fn on_down_bow(evidence: &Evidence, piece: usize) -> Advice {
    let sharp = evidence.is_sharp(piece);
    let bowed = evidence.note(piece);
    let note = evidence.called(piece);
    let there = evidence.zone(piece).there();
    let fades = evidence.is_only_struck(piece);
    if fades && bowed.marks.contains(&Mark::Tenuto) {
        return Advice::new(
            Topic::Accent,
            Need::Worth,
            "lean, keep it",
            format!("Lean into {note} {there} and hold it for its whole length, though it fades."),
            "The line over the note asks for its full length.",
        );
    }
    if fades {
        return Advice::new(
            Topic::Accent,
            Need::Worth,
            "bite, then light",
            format!("Start {note} {there} with weight on the string, and let the weight go at once."),
            "After the accent the note is soft.",
        );
    }
    if is_gentle(evidence, piece) {
        return Advice::new(
            Topic::Accent,
            Need::IfTime,
            "lean in",
            if evidence.bowed(piece).sounding_s < RINGS_S {
                format!("Begin {note} {there} with a little push, and let go at once.")
            } else {
                format!("Begin {note} {there} with a little more weight, and let it ring.")
            },
            "In a tune an accent is warm, not hard.",
        );
    }
    let stroke = evidence.bowing.stroke_of(piece);
    if evidence.seconds(stroke) >= LONG_S {
        return Advice::new(
            Topic::Accent,
            Need::IfTime,
            "lean, then slow",
            format!("Start {note} {there} with weight and little bow: it lasts."),
            "What is spent at the start is missing at the end.",
        );
    }
    let off_beat = !evidence.is_first_beat(piece) && !evidence.is_half_bar(piece);
    Advice::new(
        Topic::Accent,
        if evidence.is_led_to(piece) || sharp && (off_beat || evidence.is_soft(piece)) {
            Need::Worth
        } else {
            Need::IfTime
        },
        "bite",
        format!("Start {note} from the string, {there}, with a quick bow."),
        "An accent is a quick start of the bow with weight behind it.",
    )
}
