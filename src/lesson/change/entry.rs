//! Typed entry into the first voice: inserting, deleting, lengths, double stops, ties.

use crate::{
    lesson::{Edit, EditError, Lesson},
    score::{
        Clef, Event, EventId, Letter, Note, NoteValue, Pitch, Quarters, Score, Sign, SignId, SignKind,
        TimeSignature,
    },
    setup::Family,
};

use super::{bowing::cut_slurs, change_event, event, item, layout, refuse, voice_line};

/// Bars of a new passage. Assumed; more are added as notes are typed.
const NEW_BARS: i64 = 4;
/// Pitches that can be typed, MIDI numbers.
const PITCHES: std::ops::RangeInclusive<f64> = 0.0..=127.0;

/// Inserts a note, chord or (without pitches) rest after a note, or at the very start. Later notes
/// of the first voice move on by its length. The new note has the id that
/// [`Score::free_event_id`] gives before the edit.
///
/// # Errors
/// When the place is not in the first voice, or the value or a pitch cannot be written.
pub fn insert(
    lesson: &Lesson,
    after: Option<EventId>,
    value: NoteValue,
    pitches: &[Pitch],
) -> Result<Edit, EditError> {
    let value = writable(value)?;
    let mut notes = Vec::with_capacity(pitches.len());
    for &pitch in pitches {
        put_note(lesson, &mut notes, pitch)?;
    }
    let mut items = item::items(&lesson.score);
    let place = match after {
        None => 0,
        Some(id) => {
            let mut place = item_of(lesson, &items, id)?;
            // Grace notes stay with their note.
            while items[place].is_grace() && !items[place].is_after_grace() && place + 1 < items.len() {
                place += 1;
            }
            place + 1 + items[place + 1..].iter().take_while(|item| item.is_after_grace()).count()
        }
    };
    let id = lesson.score.free_event_id();
    let rest = notes.is_empty();
    items.insert(place, item::Item::new(Event::new(id, Quarters::ZERO, value, notes)));
    let mut new = layout::lay_out(lesson, items, &[]);
    if rest {
        // No slur goes over a rest.
        let after_rest = new.score.events.iter().skip_while(|event| event.id != id);
        let next =
            after_rest.filter(|event| event.voice == 0 && !event.is_rest()).map(|event| event.id).next();
        if let Some(next) = next {
            let (line, place) = voice_line(&new.score, next)?;
            cut_slurs(&mut new.score, &line, |k| Some(u8::from(k >= place)));
        }
    }
    Ok(Edit::between(if rest { "Insert rest" } else { "Insert note" }, lesson, &new))
}

/// Deletes notes and rests. In the first voice later notes close up; in other voices a rest stays.
/// Grace notes go with their note.
///
/// # Errors
/// When nothing is chosen.
pub fn delete(lesson: &Lesson, ids: &[EventId]) -> Result<Edit, EditError> {
    if ids.is_empty() {
        return refuse("Select what to delete first");
    }
    for id in ids {
        event(&lesson.score, *id)?;
    }
    let all = item::items(&lesson.score);
    let mut goes: Vec<bool> = all.iter().map(|item| ids.iter().any(|id| item.holds(*id))).collect();
    for k in 0..all.len() {
        if goes[k] && !all[k].is_grace() {
            let before =
                all[..k].iter().rev().take_while(|item| item.is_grace() && !item.is_after_grace()).count();
            let after = all[k + 1..].iter().take_while(|item| item.is_after_grace()).count();
            goes[k - before..=k + after].fill(true);
        }
    }
    let mut keep = goes.iter().map(|goes| !goes);
    let (kept, gone): (Vec<_>, Vec<_>) = all.into_iter().partition(|_| keep.next().unwrap_or(true));
    let mut base = lesson.clone();
    let other = |event: &Event| event.voice != 0 && ids.contains(&event.id);
    base.score.events.retain(|event| !(other(event) && event.grace.is_some()));
    for event in base.score.events.iter_mut().filter(|event| other(event)) {
        let rest = Event::new(event.id, event.onset, event.value, Vec::new());
        *event = Event { duration: event.duration, voice: event.voice, ..rest };
    }
    base.score.slurs.retain(|slur| {
        let voice = lesson.score.event(slur.from).map_or(0, |event| event.voice);
        voice == 0 || !(ids.contains(&slur.from) || ids.contains(&slur.to))
    });
    let new = layout::lay_out(&base, kept, &gone);
    Ok(Edit::between("Delete", lesson, &new))
}

/// Gives a note or rest of the first voice another length; later notes move.
///
/// # Errors
/// When it is a grace note or not in the first voice, or the value cannot be written.
pub fn set_length(lesson: &Lesson, id: EventId, value: NoteValue) -> Result<Edit, EditError> {
    let value = writable(value)?;
    let mut items = item::items(&lesson.score);
    let place = item_of(lesson, &items, id)?;
    let item = &mut items[place];
    if item.is_grace() {
        return refuse("A grace note takes no time of its own; its length cannot be set");
    }
    let tail = item.set_value(value);
    let head = item.events[0].id;
    let mut new = lesson.clone();
    for slur in &mut new.score.slurs {
        for end in [&mut slur.from, &mut slur.to] {
            if tail.contains(end) {
                *end = head;
            }
        }
    }
    for pin in new.pins.iter_mut().filter(|pin| tail.contains(&pin.event)) {
        pin.event = head;
    }
    let new = layout::lay_out(&new, items, &[]);
    Ok(Edit::between("Note value", lesson, &new))
}

/// Writes a note of the first voice as two tied ones, the second starting at `at`; where a written
/// note has to be cut for it, the new one has the id that [`Score::free_event_id`] gives before the
/// edit. Nothing sounds otherwise than before: the tie can then be taken away, for a change of bow
/// in a long note.
///
/// # Errors
/// When it is a rest, a grace note or not in the first voice, or does not sound on both sides of
/// `at`.
pub fn divide_note(lesson: &Lesson, id: EventId, at: Quarters) -> Result<Edit, EditError> {
    let mut items = item::items(&lesson.score);
    let place = item_of(lesson, &items, id)?;
    let item = items.remove(place);
    let start = item.events[0].onset;
    if item.events[0].is_rest() {
        return refuse("This is a rest; there is nothing to tie");
    }
    let Some((first, second)) = item.cut(at - start, lesson.score.free_event_id()) else {
        return refuse("A note can be divided only at a time at which it goes on sounding");
    };
    items.splice(place..place, [first, second]);
    let new = layout::lay_out(lesson, items, &[]);
    Ok(Edit::between("Divide note", lesson, &new))
}

/// Adds a note to a note or chord: a double stop.
///
/// # Errors
/// When it is a rest, the pitch is there already, or there are more notes than strings.
pub fn add_note(lesson: &Lesson, id: EventId, pitch: Pitch) -> Result<Edit, EditError> {
    if event(&lesson.score, id)?.is_rest() {
        return refuse("This is a rest; insert a note in its place first");
    }
    let (line, place) = voice_line(&lesson.score, id)?;
    let mut new = lesson.clone();
    let events = &line[place].events;
    for (index, &id) in events.iter().enumerate() {
        let mut notes = event(&lesson.score, id)?.notes.clone();
        put_note(lesson, &mut notes, pitch)?;
        for note in notes.iter_mut().filter(|note| note.pitch.midi() == pitch.midi()) {
            note.tie_stop = index > 0;
            note.tie_start = index + 1 < events.len();
        }
        change_event(&mut new.score, id, |event| event.notes = notes);
    }
    Ok(Edit::between("Double stop", lesson, &new))
}

/// Moves a note, with all that is tied to it, by letters of the key or (`half`) by half steps;
/// upward is positive. Ties to other notes end, and its strings are found anew.
///
/// # Errors
/// When it is a rest, or a pitch would be too high or too low to be written.
pub fn move_note(lesson: &Lesson, id: EventId, steps: i32, half: bool) -> Result<Edit, EditError> {
    if event(&lesson.score, id)?.is_rest() {
        return refuse("A rest has no pitch");
    }
    let (line, place) = voice_line(&lesson.score, id)?;
    let events = &line[place].events;
    let key = lesson.score.bars.get(line[place].bar).map_or(0, |bar| bar.key);
    let mut new = lesson.clone();
    for (index, &id) in events.iter().enumerate() {
        let mut notes = event(&lesson.score, id)?.notes.clone();
        for note in &mut notes {
            note.pitch = if half {
                note.pitch.transposed(steps)
            } else {
                let place = note.pitch.staff_step() + steps;
                let step = Letter::ALL[place.rem_euclid(7) as usize];
                Pitch::new(step, step.alter_in_key(key), place.div_euclid(7) as i8)
            };
            if !PITCHES.contains(&note.pitch.midi()) {
                return refuse("No instrument plays so far");
            }
            note.tie_stop &= index > 0;
            note.tie_start &= index + 1 < events.len();
            note.string = None;
            note.fingers.clear();
        }
        change_event(&mut new.score, id, |event| event.notes = notes);
    }
    Ok(Edit::between("Move note", lesson, &new))
}

/// Ties a note to the next one of its voice, where that has the same pitch.
///
/// # Errors
/// When no note of the same pitch follows directly.
pub fn join_ties(lesson: &Lesson, id: EventId) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    let last = line[place].events.last().copied().unwrap_or(id);
    let here = event(&lesson.score, last)?;
    let next = line.get(place + 1).filter(|next| next.onset == here.end() && next.grace.is_none());
    let Some(next) = next.filter(|_| here.grace.is_none()) else {
        return refuse("No note follows directly; a tie needs a next note of the same pitch");
    };
    let shared = |midi: f64, notes: &[Note]| notes.iter().any(|note| note.pitch.midi() == midi);
    if !here.notes.iter().any(|note| shared(note.pitch.midi(), &next.notes)) {
        return refuse("The next note has another pitch; only equal pitches are tied");
    }
    let mut new = lesson.clone();
    change_event(&mut new.score, last, |event| {
        for note in &mut event.notes {
            note.tie_start |= shared(note.pitch.midi(), &next.notes);
        }
    });
    let whole = next.notes.iter().all(|note| shared(note.pitch.midi(), &here.notes));
    change_event(&mut new.score, next.id(), |event| {
        for note in &mut event.notes {
            note.tie_stop |= shared(note.pitch.midi(), &here.notes);
        }
        if whole {
            (event.bow, event.retake, event.same_bow) = (None, false, None);
        }
    });
    if whole {
        // What began on the second note begins on the tied one.
        for slur in new.score.slurs.iter_mut().filter(|slur| slur.from == next.id()) {
            slur.from = line[place].id();
        }
        for pin in new.pins.iter_mut().filter(|pin| pin.event == next.id()) {
            pin.event = line[place].id();
        }
        let mut pinned = std::collections::BTreeSet::new();
        new.pins.retain(|pin| pinned.insert(pin.event));
    }
    Ok(Edit::between("Tie", lesson, &new))
}

/// An empty passage to type into: a few bars with clef, key, meter and tempo (quarter notes a
/// minute).
pub fn new_passage(family: Family, time: TimeSignature, key: i8, qpm: f64) -> Lesson {
    let qpm = if qpm.is_finite() { qpm.clamp(10.0, 400.0) } else { crate::score::DEFAULT_QPM };
    let first = layout::first_bar(time, key.clamp(-7, 7));
    let bars = (0..NEW_BARS).map(|k| {
        let mut bar = first.clone();
        bar.start = first.length * Quarters::from(k);
        bar.number = (k + 1).to_string();
        bar.double_barline = k + 1 == NEW_BARS;
        bar
    });
    let clef = match family {
        Family::Violin => Clef::TREBLE,
        Family::Viola => Clef::ALTO,
        Family::Cello => Clef::BASS,
        // Printed an octave above the sound.
        Family::DoubleBass => Clef { octave: -1, ..Clef::BASS },
    };
    let kinds = [SignKind::Clef(clef), SignKind::Tempo { qpm, text: String::new() }];
    let sign = |(id, kind)| Sign { id: SignId(id), at: Quarters::ZERO, kind };
    let mut part = family.word().to_owned();
    part[..1].make_ascii_uppercase();
    let score = Score {
        title: "New passage".to_owned(),
        part,
        bars: bars.collect(),
        events: Vec::new(),
        slurs: Vec::new(),
        signs: (0..).zip(kinds).map(sign).collect(),
    };
    Lesson::new(score, family)
}

/// The place of an event among the items of the first voice.
fn item_of(lesson: &Lesson, items: &[item::Item], id: EventId) -> Result<usize, EditError> {
    event(&lesson.score, id)?;
    items
        .iter()
        .position(|item| item.holds(id))
        .map_or_else(|| refuse("Notes are typed into the first voice; select a note of the first voice"), Ok)
}

/// Puts a pitch among notes, lowest first.
fn put_note(lesson: &Lesson, notes: &mut Vec<Note>, pitch: Pitch) -> Result<(), EditError> {
    if !PITCHES.contains(&pitch.midi()) {
        return refuse("This pitch is too high or too low to be written");
    }
    if notes.iter().any(|note| note.pitch.midi() == pitch.midi()) {
        return refuse(format!("{} is there already", pitch.name()));
    }
    let strings = lesson.setup.instrument.strings.len();
    if notes.len() >= strings {
        return refuse(format!("{strings} strings cannot sound more than {strings} notes"));
    }
    let place = notes.partition_point(|note| note.pitch.midi() < pitch.midi());
    notes.insert(place, Note::new(pitch));
    Ok(())
}

/// The value itself, where it can be written.
fn writable(value: NoteValue) -> Result<NoteValue, EditError> {
    let tuplet = value.tuplet.is_none_or(|(a, n)| (2..=64).contains(&a) && (1..=64).contains(&n));
    if (-8..=1).contains(&value.log2_whole) && value.dots <= 3 && tuplet {
        Ok(value)
    } else {
        refuse("This note value cannot be written; choose one from a double whole note to a 256th")
    }
}
