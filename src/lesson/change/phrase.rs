//! Notes taken along: copied, put in elsewhere, moved to other pitches, cut out as a lesson of their own.

use std::{
    collections::{BTreeMap, BTreeSet},
    mem::{Discriminant, discriminant},
    ops::Range,
};

use crate::{
    lesson::{Edit, EditError, Lesson},
    score::{
        Event, EventId, Letter, Note, Pitch, Quarters, Shared, Sign, SignId, SignKind, Slur, SlurId, tied,
    },
};

use super::{
    bars::delete_bars,
    bowing::cut_slurs,
    entry::{PITCHES, make_room, place_after},
    item, layout,
    mending::mend_ties,
    refuse,
    signs::set_dynamic,
};

/// Notes of the first voice that were copied, with the slurs and signs that belong to them.
#[derive(Clone, Debug, PartialEq)]
pub struct Phrase {
    /// Notes and rests with their ties joined: the written events of each.
    items: Vec<Vec<Shared<Event>>>,
    /// First and last item under each slur, and whether it is a phrase mark.
    slurs: Vec<(usize, usize, bool)>,
    /// Dynamics, hairpins and words, from the start of the phrase.
    signs: Vec<(Quarters, SignKind)>,
}

impl Phrase {
    /// How many written notes and rests it has: so many ids on from the first are those of the new ones.
    pub fn written(&self) -> usize {
        self.items.iter().map(Vec::len).sum()
    }

    /// The names of its notes, "D4 G4+B4 rest".
    pub fn words(&self) -> String {
        let mut words = String::new();
        for events in &self.items {
            if !words.is_empty() {
                words.push(' ');
            }
            for (k, note) in events[0].notes.iter().enumerate() {
                if k > 0 {
                    words.push('+');
                }
                words.push_str(&note.pitch.name());
            }
            if events[0].is_rest() {
                words.push_str("rest");
            }
        }
        words
    }
}

/// Copies the notes and rests of the first voice from the first to the last of `ids`.
///
/// # Errors
/// When none of them is in the first voice.
pub fn copy(lesson: &Lesson, ids: &BTreeSet<EventId>) -> Result<Phrase, EditError> {
    let score = &lesson.score;
    let mut items = item::items(score);
    let chosen = |item: &item::Item| item.events.iter().any(|event| ids.contains(&event.id));
    let (Some(first), Some(last)) = (items.iter().position(chosen), items.iter().rposition(chosen)) else {
        return refuse("Select notes of the first voice first");
    };
    items.truncate(last + 1);
    items.drain(..first);
    let from = items[0].events[0].onset;
    let to = items.iter().flat_map(|item| &item.events).map(|event| event.end()).max().unwrap_or(from);
    let places = items.iter().enumerate();
    let mut places: Vec<(EventId, usize)> =
        places.flat_map(|(k, item)| item.events.iter().map(move |event| (event.id, k))).collect();
    places.sort_unstable();
    let place = |id: EventId| {
        let found = places.binary_search_by_key(&id, |(id, _)| *id).ok()?;
        Some(places[found].1)
    };
    let slurs = score.slurs.iter().filter_map(|slur| Some((place(slur.from)?, place(slur.to)?, slur.phrase)));
    let signs = score.signs.iter().filter(|sign| sign.at >= from && sign.at < to);
    let signs = signs.filter_map(|sign| match &sign.kind {
        SignKind::Dynamic(_) | SignKind::Words(_) => Some((sign.at - from, sign.kind.clone())),
        SignKind::Hairpin { .. } | SignKind::OctaveLine { .. } => {
            let mut kind = sign.kind.clone();
            if let Some(end) = kind.end_mut() {
                *end = (*end).min(to) - from;
            }
            Some((sign.at - from, kind))
        }
        SignKind::Tempo { .. } | SignKind::Rehearsal(_) | SignKind::Clef(_) => None,
    });
    Ok(Phrase {
        slurs: slurs.filter(|(from, to, _)| from < to).collect(),
        signs: signs.collect(),
        items: items.into_iter().map(|item| item.events).collect(),
    })
}

/// Puts a phrase in behind a note, or at the very start; later notes of the first voice move on, or (`over`)
/// what stands there is written over. Slurs over the place end there. The first of the new notes has the id
/// that [`Score::free_event_id`](crate::score::Score::free_event_id) gives before the edit.
///
/// # Errors
/// When the place is not in the first voice.
pub fn paste(
    lesson: &Lesson,
    after: Option<EventId>,
    phrase: &Phrase,
    over: bool,
) -> Result<Edit, EditError> {
    let mut items = item::items(&lesson.score);
    let place = place_after(lesson, &items, after)?;
    let mut free = lesson.score.free_event_id().0;
    let new_items: Vec<item::Item> = phrase.items.iter().map(|events| renamed(events, &mut free)).collect();
    let ids: Vec<(EventId, EventId)> =
        new_items.iter().map(|item| (item.events[0].id, item.events[item.events.len() - 1].id)).collect();
    let Some(&(first, _)) = ids.first() else { return refuse("Nothing is copied yet") };
    let length: Quarters = new_items.iter().map(|item| item.length).sum();
    let (gone, rest) =
        if over { make_room(&mut items, place, length, EventId(free)) } else { (Vec::new(), None) };
    items.splice(place..place, new_items.into_iter().chain(rest));
    let mut new = layout::lay_out(lesson, items, &gone);
    let score = &mut new.score;
    let pasted: BTreeSet<EventId> = ids.iter().flat_map(|&(first, last)| [first, last]).collect();
    let mut line = tied(&score.events, &score.slurs);
    line.retain(|note| note.head.voice == 0);
    let start = score.event(first).map_or(Quarters::ZERO, |event| event.onset);
    // Slurs that were there do not go over what is put in.
    let slurs = cut_slurs(score, &line, |k| {
        (!pasted.contains(&line[k].id())).then_some(u8::from(line[k].head.onset >= start))
    });
    let last_of: BTreeMap<EventId, EventId> = line.iter().map(|note| (note.id(), note.last_id())).collect();
    score.slurs = slurs;
    for (&(from, to, phrase), number) in phrase.slurs.iter().zip(score.free_slur_id().0..) {
        // The tied notes may be written otherwise now.
        if let Some(&to) = last_of.get(&ids[to].0) {
            let id = SlurId(number);
            score.slurs.push(Slur { id, from: ids[from].0, to, phrase });
        }
    }
    // A sign takes the place of those of its sort where it is put.
    let mut sorts: BTreeMap<Quarters, Vec<Discriminant<SignKind>>> = BTreeMap::new();
    for (at, kind) in &phrase.signs {
        sorts.entry(start + *at).or_default().push(discriminant(kind));
    }
    score
        .signs
        .retain(|sign| !sorts.get(&sign.at).is_some_and(|sorts| sorts.contains(&discriminant(&sign.kind))));
    for ((at, kind), number) in phrase.signs.iter().zip(score.free_sign_id().0..) {
        let mut kind = kind.clone();
        if let Some(end) = kind.end_mut() {
            *end += start;
        }
        score.signs.push(Sign { id: SignId(number), at: start + *at, kind });
    }
    score.sort();
    Ok(Edit::between("Paste", lesson, &new))
}

/// The written events of a note with ids of their own.
fn renamed(events: &[Shared<Event>], free: &mut u32) -> item::Item {
    let mut events = events.to_vec();
    for event in &mut events {
        event.id = EventId(*free);
        event.line = 0;
        *free += 1;
    }
    // What it was tied to outside is not copied.
    let last = events.len() - 1;
    events[0].notes.iter_mut().for_each(|note| note.tie_stop = false);
    events[last].notes.iter_mut().for_each(|note| note.tie_start = false);
    item::Item::of(events)
}

/// By how much notes are moved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Moving {
    /// By letters of the key.
    Steps(i32),
    /// By half steps, spelled near the old letter.
    HalfSteps(i32),
    /// By an interval: letters and half steps.
    Interval(i32, i32),
    /// To the next string, with the same fingers; true is the higher one.
    String(bool),
}

/// Moves all of these notes; upward is positive. Ties to other notes end, and their strings are found anew,
/// unless they are moved to the next string.
///
/// # Errors
/// When there is no note among them, a pitch would be too high or too low to be written, or two notes that
/// sound together would become one.
pub fn move_notes(lesson: &Lesson, ids: &[EventId], by: Moving) -> Result<Edit, EditError> {
    let all = super::chosen(&lesson.score, ids)?;
    let ids = all.iter().enumerate().flat_map(|(k, note)| note.ids().map(move |id| (id, k)));
    let moved: BTreeMap<EventId, usize> = ids.collect();
    let mut new = lesson.clone();
    for event in &mut new.score.events {
        let Some(tied) = moved.get(&event.id).map(|&k| &all[k]) else { continue };
        let key = lesson.score.bars.get(lesson.score.bar_of(tied.head)).map_or(0, |bar| bar.key);
        // A tie between two that are moved stays, one to a note that is not goes.
        let (first, last) = (tied.id() == event.id, tied.last_id() == event.id);
        for note in &mut event.notes {
            *note = moved_note(lesson, note, key, by)?;
            (note.tie_stop, note.tie_start) = (note.tie_stop && !first, note.tie_start && !last);
        }
        event.notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        if event.notes.windows(2).any(|two| two[0].pitch.midi() == two[1].pitch.midi()) {
            let place = lesson.score.place(event.onset);
            return refuse(format!(
                "Two notes ({place}) would become one; move by an interval, or one of them alone"
            ));
        }
    }
    mend_ties(&mut new.score);
    let what = match by {
        Moving::String(true) => "To the string above",
        Moving::String(false) => "To the string below",
        _ if moved.len() == 1 => "Move note",
        _ => "Transpose",
    };
    Ok(Edit::between(what, lesson, &new))
}

fn moved_note(lesson: &Lesson, note: &Note, key: i8, by: Moving) -> Result<Note, EditError> {
    let by_letters = |letters: i32| {
        let place = note.pitch.staff_step() + letters;
        (Letter::ALL[place.rem_euclid(7) as usize], place.div_euclid(7) as i8)
    };
    let by_interval = |letters: i32, half_steps: i32| {
        let (letter, octave) = by_letters(letters);
        let alter = note.pitch.midi() + f64::from(half_steps) - Pitch::new(letter, 0.0, octave).midi();
        // Beyond double signs it is written on another letter.
        if alter.abs() <= 2.0 {
            Pitch::new(letter, alter as f32, octave)
        } else {
            note.pitch.transposed(half_steps)
        }
    };
    let strings = &lesson.setup.instrument.strings;
    let mut moved = note.clone();
    (moved.string, moved.fingers) = (None, Vec::new());
    moved.pitch = match by {
        Moving::Steps(steps) => {
            let (letter, octave) = by_letters(steps);
            Pitch::new(letter, letter.alter_in_key(key), octave)
        }
        Moving::HalfSteps(half_steps) => note.pitch.transposed(half_steps),
        Moving::Interval(letters, half_steps) => by_interval(letters, half_steps),
        Moving::String(up) => {
            let here = usize::from(note.string.unwrap_or(if up { 2 } else { 1 }));
            let there = if up { here.checked_sub(1) } else { Some(here + 1) }.filter(|there| *there >= 1);
            let open = |number: usize| number.checked_sub(1).and_then(|index| strings.get(index));
            let (Some(from), Some(to)) = (open(here), there.and_then(open)) else {
                return refuse("There is no string beyond this one");
            };
            moved.string = note.string.and(there.map(|there| there as u8));
            moved.fingers.clone_from(&note.fingers);
            let letters = to.pitch.staff_step() - from.pitch.staff_step();
            by_interval(letters, (to.pitch.midi() - from.pitch.midi()).round() as i32)
        }
    };
    if !PITCHES.contains(&moved.pitch.midi()) {
        return refuse("No instrument plays so far");
    }
    Ok(moved)
}

/// Some bars as a lesson of their own, with their numbers, and with the clef, tempo and loudness that are in
/// force where they begin.
///
/// # Errors
/// When there are no such bars.
pub fn excerpt(lesson: &Lesson, bars: Range<usize>) -> Result<Lesson, EditError> {
    let old = &lesson.score.bars;
    if bars.is_empty() || bars.end > old.len() {
        return refuse("Select notes in the bars that are to be cut out");
    }
    let sections = lesson.score.bar_sections();
    let name = |bar: usize| lesson.score.bar_name(bar, &sections);
    let words = name(bars.start).words_to(&name(bars.end - 1));
    let (from, kept) = (old[bars.start].start, old[bars.clone()].to_vec());
    let level =
        lesson.score.signs.iter().filter(|sign| sign.at <= from).rev().find_map(|sign| match sign.kind {
            SignKind::Dynamic(level) => Some(level),
            _ => None,
        });
    let mut part = lesson.clone();
    if bars.end < old.len() {
        part = delete_bars(&part, bars.end..old.len())?.apply(&part)?.0;
    }
    if bars.start > 0 {
        part = delete_bars(&part, 0..bars.start)?.apply(&part)?.0;
    }
    for (bar, old) in part.score.bars.iter_mut().zip(kept) {
        bar.number = old.number;
    }
    let has_level = part.score.signs.iter().any(|s| s.at.is_zero() && matches!(s.kind, SignKind::Dynamic(_)));
    if let Some(level) = level.filter(|_| !has_level) {
        part = set_dynamic(&part, Quarters::ZERO, Some(level))?.apply(&part)?.0;
    }
    part.score.title = match lesson.score.title.trim() {
        "" => crate::score::sentence_case(&words),
        title => format!("{title}, {words}"),
    };
    part.source = None;
    Ok(part)
}
