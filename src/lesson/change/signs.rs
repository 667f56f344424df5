//! What is placed by time, and the title.

use crate::{
    lesson::{Edit, EditError, Lesson},
    score::{Clef, Dynamic, Event, Quarters, Shared, Sign, SignKind, TEMPOS, plucked},
};

use super::refuse;

/// Names the piece.
pub fn set_title(title: &str) -> Edit {
    Edit::Title(title.trim().to_owned())
}

/// Puts a dynamic mark at a place, in the place of one that stands there, or removes it.
///
/// # Errors
/// When the place is before the start.
pub fn set_dynamic(lesson: &Lesson, at: Quarters, dynamic: Option<Dynamic>) -> Result<Edit, EditError> {
    let what =
        dynamic.map_or_else(|| "Remove dynamic".to_owned(), |level| format!("Dynamic {}", level.mark()));
    let is_one = |kind: &SignKind| matches!(kind, SignKind::Dynamic(_));
    put(lesson, at, &what, is_one, dynamic.map(SignKind::Dynamic))
}

/// Sets the tempo from a place on in quarter notes a minute, with the text printed for it, or lets the
/// tempo before go on.
///
/// # Errors
/// When the place is before the start, or the tempo outside [`TEMPOS`].
pub fn set_tempo(lesson: &Lesson, at: Quarters, tempo: Option<(f64, &str)>) -> Result<Edit, EditError> {
    if tempo.is_some_and(|(qpm, _)| !TEMPOS.contains(&qpm)) {
        let (least, most) = TEMPOS.into_inner();
        return refuse(format!("A tempo lies between {least} and {most} quarter notes a minute"));
    }
    let is_one = |kind: &SignKind| matches!(kind, SignKind::Tempo { .. });
    let kind = tempo.map(|(qpm, text)| SignKind::Tempo { qpm, text: text.trim().to_owned() });
    put(lesson, at, "Tempo", is_one, kind)
}

/// Sets the clef from a place on, or lets the one before go on. Notes keep their pitches.
///
/// # Errors
/// When the place is before the start.
pub fn set_clef(lesson: &Lesson, at: Quarters, clef: Option<Clef>) -> Result<Edit, EditError> {
    put(lesson, at, "Clef", |kind| matches!(kind, SignKind::Clef(_)), clef.map(SignKind::Clef))
}

/// Writes words over the staff at a place, in the place of those that stand there; none remove them. Words
/// for plucking or the bow ("pizz.", "arco") hold up to the next such words.
///
/// # Errors
/// When the place is before the start.
pub fn set_words(lesson: &Lesson, at: Quarters, words: &str) -> Result<Edit, EditError> {
    let kind = (!words.trim().is_empty()).then(|| SignKind::Words(words.trim().to_owned()));
    let edit = put(lesson, at, "Words", |kind| matches!(kind, SignKind::Words(_)), kind)?;
    let asks = |lesson: &Lesson| {
        lesson.score.signs.iter().filter(|sign| sign.at == at).find_map(|sign| match &sign.kind {
            SignKind::Words(words) => plucked(words),
            _ => None,
        })
    };
    let mut new = edit.apply(lesson)?.0;
    let (was, is) = (asks(lesson), asks(&new));
    if was != is {
        let score = &mut new.score;
        let before = score.events.iter().rev().find(|event| event.onset < at && event.voice == 0);
        let is = is.unwrap_or_else(|| before.is_some_and(|event| event.pizzicato));
        let next = score.signs.iter().find(|sign| {
            sign.at > at && matches!(&sign.kind, SignKind::Words(words) if plucked(words).is_some())
        });
        let until = next.map(|sign| sign.at);
        let held =
            |event: &&mut Shared<Event>| event.onset >= at && until.is_none_or(|until| event.onset < until);
        score.events.iter_mut().filter(held).for_each(|event| event.pizzicato = is);
    }
    Ok(Edit::between(edit.what(), lesson, &new))
}

/// Puts a rehearsal mark at a place, in the place of one that stands there; an empty one removes it.
///
/// # Errors
/// When the place is before the start.
pub fn set_rehearsal(lesson: &Lesson, at: Quarters, mark: &str) -> Result<Edit, EditError> {
    let kind = (!mark.trim().is_empty()).then(|| SignKind::Rehearsal(mark.trim().to_owned()));
    put(lesson, at, "Rehearsal mark", |kind| matches!(kind, SignKind::Rehearsal(_)), kind)
}

/// Puts a hairpin over a stretch, opening or closing, in the place of all that begin in it; one that
/// reaches into it from before ends where it begins. Without a kind those that begin in it go.
///
/// # Errors
/// When the stretch takes no time or begins before the start.
pub fn set_hairpin(
    lesson: &Lesson,
    from: Quarters,
    to: Quarters,
    opens: Option<bool>,
) -> Result<Edit, EditError> {
    let what = match opens {
        Some(true) => "Opening hairpin",
        Some(false) => "Closing hairpin",
        None => "Remove hairpin",
    };
    let is_one = |kind: &SignKind| matches!(kind, SignKind::Hairpin { .. });
    let kind = opens.map(|opens| SignKind::Hairpin { opens, end: to, niente: false });
    put_over(
        lesson,
        (from, to),
        (what, "A hairpin takes time; select the notes it is to stand under"),
        is_one,
        kind,
    )
}

/// Puts an octave line over a stretch, in the place of all that begin in it: its notes are printed so many
/// octaves lower than they sound (higher where negative). Without octaves those that begin in it go.
///
/// # Errors
/// When the stretch takes no time or begins before the start.
pub fn set_octave_line(
    lesson: &Lesson,
    from: Quarters,
    to: Quarters,
    octaves: Option<i8>,
) -> Result<Edit, EditError> {
    let what = if octaves.is_some() { "Octave line" } else { "Remove octave line" };
    let is_one = |kind: &SignKind| matches!(kind, SignKind::OctaveLine { .. });
    let kind = octaves.map(|octaves| SignKind::OctaveLine { octaves, end: to });
    put_over(lesson, (from, to), (what, "An octave line takes time; select the notes under it"), is_one, kind)
}

/// Puts a sign over a stretch, in the place of those of its kind that begin in it; one that reaches into it
/// from before ends where it begins.
fn put_over(
    lesson: &Lesson,
    (from, to): (Quarters, Quarters),
    (what, no_time): (&str, &'static str),
    is_one: impl Fn(&SignKind) -> bool,
    kind: Option<SignKind>,
) -> Result<Edit, EditError> {
    if from < Quarters::ZERO || to <= from {
        return refuse(no_time);
    }
    let mut new = lesson.clone();
    let starts = |sign: &Sign| (from..to).contains(&sign.at) && is_one(&sign.kind);
    let old = lesson.score.signs.iter().find(|sign| starts(sign)).map(|sign| sign.id);
    new.score.signs.retain(|sign| !starts(sign));
    if let Some(kind) = kind {
        for sign in new.score.signs.iter_mut().filter(|sign| sign.at < from && is_one(&sign.kind)) {
            if let Some(end) = sign.kind.end_mut() {
                *end = (*end).min(from);
            }
        }
        let id = old.unwrap_or_else(|| lesson.score.free_sign_id());
        new.score.signs.push(Sign { id, at: from, kind });
        new.score.sort();
    }
    Ok(Edit::between(what, lesson, &new))
}

/// Puts one sign in the place of those of its kind that stand there.
fn put(
    lesson: &Lesson,
    at: Quarters,
    what: &str,
    is_one: impl Fn(&SignKind) -> bool,
    kind: Option<SignKind>,
) -> Result<Edit, EditError> {
    if at < Quarters::ZERO {
        return refuse("Nothing can stand before the first bar");
    }
    let mut new = lesson.clone();
    let stands = |sign: &Sign| sign.at == at && is_one(&sign.kind);
    let old = lesson.score.signs.iter().find(|sign| stands(sign)).map(|sign| sign.id);
    new.score.signs.retain(|sign| !stands(sign));
    if let Some(kind) = kind {
        new.score.signs.push(Sign { id: old.unwrap_or(lesson.score.free_sign_id()), at, kind });
        new.score.sort();
    }
    Ok(Edit::between(what, lesson, &new))
}
