//! Slurs, bow marks, retakes, hooked bows, places on the bow.

use std::collections::{BTreeMap, BTreeSet};

use crate::{
    lesson::{Edit, EditError, Lesson, Pencilled, Pin, PinId, Silenced, Spoken},
    score::{Direction, Event, EventId, Mark, SameBow, Score, Shared, Slur, Tied},
};

use super::{change_event, change_events, chosen, each, refuse, voice_line};

/// Slurs the notes from the first to the last of `ids`, or takes them out of every slur.
///
/// A new slur takes the place of the slurs inside it; slurs that reach beyond it keep what lies
/// outside, where that is two notes or more. Bow marks and retakes inside a new slur go.
///
/// # Errors
/// When there are fewer than two notes, they are in several voices, or a rest lies between them.
pub fn set_slur(lesson: &Lesson, ids: &[EventId], on: bool) -> Result<Edit, EditError> {
    let selected = chosen(&lesson.score, ids)?;
    let voice = selected[0].head.voice;
    if selected.iter().any(|note| note.head.voice != voice) {
        return refuse("A slur joins notes of one voice; select notes of one voice");
    }
    let (line, first) = voice_line(&lesson.score, selected[0].id())?;
    let mut new = lesson.clone();
    if !on {
        let taken: BTreeSet<EventId> = selected.iter().map(Tied::id).collect();
        let taken = |k: usize| taken.contains(&line[k].id());
        new.score.slurs = cut_slurs(&lesson.score, &line, |k| (!taken(k)).then_some(0));
        return Ok(Edit::between("Remove slur", lesson, &new));
    }
    let last =
        first + line[first..].iter().take_while(|a| a.id() != selected[selected.len() - 1].id()).count();
    if first == last {
        return refuse("A slur needs two notes; select all the notes it is to cover");
    }
    let (from, until) = (line[first].head.onset, line[last].head.onset);
    let inside = |e: &&Shared<Event>| e.voice == voice && e.onset >= from && e.onset < until;
    if lesson.score.events.iter().filter(inside).any(|e| e.is_rest()) {
        return refuse("A rest lies between these notes; slur the notes on each side of it");
    }
    new.score.slurs = cut_slurs(&lesson.score, &line, |k| (!(first..=last).contains(&k)).then_some(0));
    let slur = Slur { id: new.score.free_slur_id(), ..slur_over(&line[first..=last]) };
    new.score.slurs.push(slur);
    let inner = line[first + 1..=last].iter().map(|note| (note.id(), ())).collect();
    change_events(&mut new.score, &inner, |event, ()| (event.bow, event.retake) = (None, false));
    Ok(Edit::between(format!("Slur {} notes", last - first + 1), lesson, &new))
}

/// Breaks the slur over a note so that a new bow starts there. Halves of one note are no slurs.
///
/// # Errors
/// When no slur leads to the note.
pub fn split_slur(lesson: &Lesson, before: EventId) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, before)?;
    let mut new = lesson.clone();
    new.score.slurs = cut_slurs(&lesson.score, &line, |k| Some(u8::from(k >= place)));
    let edit = Edit::between("Split slur", lesson, &new);
    if edit.is_empty() { refuse("No slur leads to this note; it starts a new bow already") } else { Ok(edit) }
}

/// Prints a bow mark on every chosen note, or removes it.
///
/// # Errors
/// When no note is chosen.
pub fn set_bow(lesson: &Lesson, ids: &[EventId], direction: Option<Direction>) -> Result<Edit, EditError> {
    let what = match direction {
        Some(Direction::Down) => "Down-bow",
        Some(Direction::Up) => "Up-bow",
        None => "Remove bow mark",
    };
    each(lesson, ids, what, |event| event.bow = direction)
}

/// Lifts the bow and sets it again before a note, or no longer. A slur that leads there is split.
///
/// # Errors
/// When it is no note.
pub fn set_retake(lesson: &Lesson, id: EventId, on: bool) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    let mut new = lesson.clone();
    if on {
        new.score.slurs = cut_slurs(&lesson.score, &line, |k| Some(u8::from(k >= place)));
    }
    change_event(&mut new.score, line[place].id(), |event| {
        event.retake = on;
        if on {
            event.same_bow = None;
        }
    });
    Ok(Edit::between(if on { "Retake" } else { "Remove retake" }, lesson, &new))
}

/// Plays a note in the bow of the note before it, after a stop or pulse, or in a bow of its own.
///
/// # Errors
/// When no note comes directly before it.
pub fn hook(lesson: &Lesson, id: EventId, how: Option<SameBow>) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    if how.is_some() && (place == 0 || line[place - 1].end < line[place].head.onset) {
        return refuse("No note comes directly before this one; there is no bow to go on in");
    }
    let what = match how {
        Some(SameBow::Hooked) => "Hook",
        Some(SameBow::Portato) => "Portato",
        None => "A bow of its own",
    };
    let mut new = lesson.clone();
    change_event(&mut new.score, line[place].id(), |event| {
        event.same_bow = how;
        if how.is_some() {
            event.bow = None;
            event.retake = false;
        }
    });
    Ok(Edit::between(what, lesson, &new))
}

/// Turns the bowing round from the stroke that holds a note to the next lift: that stroke gets the
/// mark opposite to `current`, the direction it has now, and every printed mark after it is turned.
///
/// # Errors
/// When it is no note.
pub fn turn_from(lesson: &Lesson, id: EventId, current: Direction) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    let joined = |k: usize| {
        let note = &line[k];
        let slurred = note.slur.is_some() && note.slur == line[k - 1].slur && !note.slur_start;
        (slurred || note.head.same_bow.is_some()) && !note.head.retake
    };
    let start = (1..=place).rev().find(|&k| !joined(k)).unwrap_or(0);
    let lifted = |k: usize| {
        let before = &line[k - 1];
        let breath = before.has_mark(Mark::BreathMark) || before.has_mark(Mark::Caesura);
        line[k].head.retake || breath || before.end < line[k].head.onset
    };
    let end = (start + 1..line.len()).find(|&k| lifted(k)).unwrap_or(line.len());
    let mut new = lesson.clone();
    let turned =
        |k: usize| if k == start { Some(current.turned()) } else { line[k].head.bow.map(Direction::turned) };
    let marked = (start..end).map(|k| (line[k].id(), turned(k))).filter(|(_, bow)| bow.is_some()).collect();
    change_events(&mut new.score, &marked, |event, bow| event.bow = *bow);
    Ok(Edit::between("Turn the bowing round", lesson, &new))
}

/// Fixes where on the hair a note starts, as shares of the hair (from, to), frog 0 and tip 1, or
/// frees it. A note has one such place.
///
/// # Errors
/// When it is no note, or the shares are not on the hair.
pub fn hair_pin(lesson: &Lesson, id: EventId, shares: Option<(f64, f64)>) -> Result<Edit, EditError> {
    let note = chosen(&lesson.score, &[id])?.swap_remove(0);
    let mut new = lesson.clone();
    new.pins.retain(|pin| !note.holds(pin.event));
    let Some((a, b)) = shares else { return Ok(Edit::between("Free the place on the bow", lesson, &new)) };
    if !(0.0..=1.0).contains(&a) || !(0.0..=1.0).contains(&b) {
        return refuse("A place on the bow lies between the frog (0) and the tip (1)");
    }
    let old = lesson.pins.iter().find(|pin| note.holds(pin.event)).map(|pin| pin.id);
    let free = PinId(lesson.pins.iter().map(|pin| pin.id.0 + 1).max().unwrap_or(0));
    let pin = Pin { id: old.unwrap_or(free), event: note.id(), from_share: a.min(b), to_share: a.max(b) };
    new.pins.push(pin);
    new.pins.sort_by_key(|pin| pin.id);
    Ok(Edit::between("Place on the bow", lesson, &new))
}

/// Settles the bowing of the chosen notes, so that a search leaves them alone, or opens it again.
///
/// # Errors
/// When no note is chosen.
pub fn keep_bowing(lesson: &Lesson, ids: &[EventId], keep: bool) -> Result<Edit, EditError> {
    let mut new = lesson.clone();
    for note in chosen(&lesson.score, ids)? {
        if keep {
            new.kept.insert(note.id());
        } else {
            new.kept.remove(&note.id());
        }
    }
    Ok(Edit::between(if keep { "Settle the bowing" } else { "Open the bowing" }, lesson, &new))
}

/// Silences a kind of finding on some notes, with a reason, or (without one) lets it be told again.
///
/// # Errors
/// When a note is not in the score, or a rest is to be silenced: nothing is found on one.
pub fn silence(
    lesson: &Lesson,
    id: &str,
    events: &[EventId],
    reason: Option<&str>,
) -> Result<Edit, EditError> {
    for event in events {
        if super::event(&lesson.score, *event)?.is_rest() && reason.is_some() {
            return refuse("Select a note; nothing is found on a rest");
        }
    }
    let mut new = lesson.clone();
    new.silenced.retain(|silenced| silenced.id != id || !events.contains(&silenced.event));
    if let Some(reason) = reason {
        let entry = |&event| Silenced { id: id.to_owned(), event, reason: reason.trim().to_owned() };
        new.silenced.extend(events.iter().map(entry));
    }
    let what = if reason.is_some() { "Silence a finding" } else { "Tell a finding again" };
    Ok(Edit::between(what, lesson, &new))
}

/// Writes other words in the place of a pencil mark, rubs it out (no words at all), or (without any) lets
/// it be as it was; `id` is what the mark is about.
///
/// # Errors
/// When there is no such note.
pub fn pencil(lesson: &Lesson, id: &str, event: EventId, words: Option<&str>) -> Result<Edit, EditError> {
    if super::event(&lesson.score, event)?.is_rest() && words.is_some() {
        return refuse("Select a note; nothing is written over a rest");
    }
    let mut new = lesson.clone();
    new.pencilled.retain(|pencilled| pencilled.id != id || pencilled.event != event);
    let words = words.map(str::trim);
    new.pencilled.extend(words.map(|words| Pencilled { id: id.to_owned(), event, words: words.to_owned() }));
    let what = match words {
        None => "Pencil mark as it was",
        Some("") => "Rub out a pencil mark",
        Some(_) => "Write a pencil mark",
    };
    Ok(Edit::between(what, lesson, &new))
}

/// The slurs of a score, those that tell the bow of one voice cut into runs of notes with the same part; notes
/// without a part are left out. Runs of one note are no slurs; the first run keeps the identity of the slur.
///
/// `line` holds all notes of the voice; `part` is asked with indices into it.
pub(super) fn cut_slurs<P: PartialEq>(
    score: &Score,
    line: &[Tied],
    part: impl Fn(usize) -> Option<P>,
) -> Shared<Vec<Slur>> {
    let places: BTreeMap<EventId, usize> =
        line.iter().enumerate().flat_map(|(k, note)| note.ids().map(move |id| (id, k))).collect();
    let place = |id: EventId| places.get(&id).copied();
    let mut free = score.free_slur_id();
    let mut kept = Vec::with_capacity(score.slurs.len());
    for &slur in &score.slurs {
        let span = place(slur.from).zip(place(slur.to)).filter(|(from, to)| from < to && !slur.phrase);
        let Some((from, to)) = span else {
            kept.push(slur);
            continue;
        };
        if part(from).is_some() && (from..=to).all(|k| part(k) == part(from)) {
            kept.push(slur);
            continue;
        }
        let mut id = slur.id;
        let mut start = from;
        while start <= to {
            let run = (start..=to).take_while(|&k| part(k) == part(start)).count();
            if part(start).is_some() && run >= 2 {
                kept.push(Slur { id, ..slur_over(&line[start..start + run]) });
                if id == free {
                    free.0 += 1;
                }
                id = free;
            }
            start += run;
        }
    }
    kept.sort_by_key(|slur| slur.id);
    kept.into()
}

/// A slur over these notes (at least one); its id is for the caller to set.
pub(super) fn slur_over(notes: &[Tied]) -> Slur {
    let (first, last) = (&notes[0], &notes[notes.len() - 1]);
    Slur { id: crate::score::SlurId(0), from: first.id(), to: last.last_id(), phrase: false }
}

/// Says something else in the place of a sentence of the passage in words, leaves it out (no words at all), or
/// (without any) lets it be as it was; `id` is what the sentence is about, `instead_of` what the program says.
///
/// # Errors
/// When there is no such note.
pub fn speak(
    lesson: &Lesson,
    id: &str,
    event: EventId,
    instead_of: &str,
    words: Option<&str>,
) -> Result<Edit, EditError> {
    super::event(&lesson.score, event)?;
    let mut new = lesson.clone();
    new.spoken.retain(|spoken| spoken.id != id || spoken.event != event);
    // One sentence, however it was typed.
    let words = words.map(|words| words.split_whitespace().collect::<Vec<_>>().join(" "));
    new.spoken.extend(words.clone().map(|words| Spoken {
        id: id.to_owned(),
        event,
        words,
        instead_of: instead_of.to_owned(),
    }));
    let what = match words.as_deref() {
        None => "Sentence as it was",
        Some("") => "Leave out a sentence",
        Some(_) => "Say it in own words",
    };
    Ok(Edit::between(what, lesson, &new))
}
