//! What a person wants, as edits.
//!
//! Every function looks at a lesson and gives the [`Edit`] that does it, or a sentence that says
//! why it cannot be done. Nothing is changed here. A tied note counts as one: its marks belong to
//! the first written note of the tie.

mod bars;
mod bowing;
mod entry;
mod handout;
mod item;
mod layout;
mod marks;
mod mending;
mod phrase;
mod rebow;
mod repeats;
mod signs;
mod writing;

pub use bars::{MOST_NEW_BARS, delete_bars, insert_bars, set_key, set_metre, set_upbeat};
pub use bowing::{
    hair_pin, hook, keep_bowing, pencil, set_bow, set_retake, set_slur, silence, speak, split_slur, turn_from,
};
pub use entry::{
    add_note, alter, delete, divide_note, insert, join_ties, new_passage, set_family, set_length, usual_clef,
    write_over,
};
pub use handout::{add_to_handout, set_handout};
pub use marks::{
    FINGERS, note_before, set_finger, set_mark, set_speed_factor, set_string, set_stroke, set_sudden,
    set_tempo_share, set_tremolo, tremolo_with_next,
};
pub use phrase::{Moving, Phrase, copy, excerpt, move_notes, paste};
pub use rebow::{Joined, Rebowed, rebowed};
pub use repeats::{jump_words, set_ending, set_jumps, set_repeat};
pub use signs::{
    set_clef, set_dynamic, set_hairpin, set_octave_line, set_rehearsal, set_tempo, set_title, set_words,
};

use std::collections::{BTreeMap, BTreeSet};

use crate::score::{Event, EventId, Score, Tied, tied};

use super::{Edit, EditError, Lesson};

fn refuse<T>(why: impl Into<String>) -> Result<T, EditError> {
    Err(EditError(why.into()))
}

/// The event with this id.
fn event(score: &Score, id: EventId) -> Result<&Event, EditError> {
    score.event(id).map_or_else(|| refuse("This note is not in the score any more"), Ok)
}

fn change_event(score: &mut Score, id: EventId, change: impl FnOnce(&mut Event)) {
    if let Some(event) = score.events.iter_mut().find(|event| event.id == id) {
        change(event);
    }
}

/// Changes many events, each with what is said of its id.
fn change_events<T>(score: &mut Score, of: &BTreeMap<EventId, T>, change: impl Fn(&mut Event, &T)) {
    for event in &mut score.events {
        if let Some(said) = of.get(&event.id) {
            change(event, said);
        }
    }
}

/// Refuses when one of these is no event of the score.
fn all_there(score: &Score, ids: &BTreeSet<EventId>) -> Result<(), EditError> {
    if score.events.iter().filter(|event| ids.contains(&event.id)).count() < ids.len() {
        return refuse("One of these notes is not in the score any more");
    }
    Ok(())
}

/// The notes that hold these events, in score order; rests are passed over.
fn chosen<'a>(score: &'a Score, ids: &[EventId]) -> Result<Vec<Tied<'a>>, EditError> {
    let ids: BTreeSet<EventId> = ids.iter().copied().collect();
    all_there(score, &ids)?;
    let mut found = tied(&score.events, &score.slurs);
    found.retain(|note| note.ids().any(|id| ids.contains(&id)));
    if found.is_empty() { refuse("Select a note first; a rest has no bow") } else { Ok(found) }
}

/// All notes of the voice of one of them, and its place among them.
fn voice_line(score: &Score, id: EventId) -> Result<(Vec<Tied<'_>>, usize), EditError> {
    let voice = event(score, id)?.voice;
    let mut line = tied(&score.events, &score.slurs);
    line.retain(|note| note.head.voice == voice);
    match line.iter().position(|note| note.holds(id)) {
        Some(place) => Ok((line, place)),
        None => refuse("Select a note; a rest has no bow"),
    }
}

/// The step that changes the chosen notes one by one.
fn each(
    lesson: &Lesson,
    ids: &[EventId],
    what: &str,
    change: impl Fn(&mut Event),
) -> Result<Edit, EditError> {
    let mut new = lesson.clone();
    let heads: BTreeSet<EventId> = chosen(&lesson.score, ids)?.iter().map(Tied::id).collect();
    new.score.events.iter_mut().filter(|event| heads.contains(&event.id)).for_each(|event| change(event));
    Ok(Edit::between(what, lesson, &new))
}
