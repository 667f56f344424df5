//! Typed entry into the first voice: inserting, deleting, lengths, double stops, ties.

use std::collections::BTreeSet;

use crate::{
    lesson::{Edit, EditError, Lesson},
    score::{
        Clef, Event, EventId, Note, NoteValue, Pitch, Quarters, Score, Shared, Sign, SignId, SignKind,
        TimeSignature, sentence_case,
    },
    setup::{Family, Setup},
};

use super::{
    bowing::cut_slurs, change_event, event, item, layout, mending::mend_ties, refuse, signs::set_clef,
    voice_line,
};

/// Bars of a new passage. Assumed; more are added as notes are typed.
const NEW_BARS: i64 = 4;
/// Pitches that can be typed, MIDI numbers.
pub(super) const PITCHES: std::ops::RangeInclusive<f64> = 0.0..=127.0;

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
    let mut items = item::items(&lesson.score);
    let place = place_after(lesson, &items, after)?;
    let id = lesson.score.free_event_id();
    let event = new_event(lesson, after, value, pitches)?;
    let rest = event.is_rest();
    items.insert(place, item::Item::new(event));
    let mut new = layout::lay_out(lesson, items, &[]);
    cut_slurs_at_rest(&mut new, id)?;
    Ok(Edit::between(if rest { "Insert rest" } else { "Insert note" }, lesson, &new))
}

/// Writes a note, chord or (without pitches) rest behind a note, or at the very start, over what stands
/// there: that goes, and what a note sounds longer becomes rest. Later notes stay where they are. The new
/// note has the id that [`Score::free_event_id`] gives before the edit.
///
/// # Errors
/// When the place is not in the first voice, or the value or a pitch cannot be written.
pub fn write_over(
    lesson: &Lesson,
    after: Option<EventId>,
    value: NoteValue,
    pitches: &[Pitch],
) -> Result<Edit, EditError> {
    let mut items = item::items(&lesson.score);
    let place = place_after(lesson, &items, after)?;
    let id = lesson.score.free_event_id();
    let event = new_event(lesson, after, value, pitches)?;
    let (gone, rest) = make_room(&mut items, place, value.length(), EventId(id.0 + 1));
    items.splice(place..place, [item::Item::new(event)].into_iter().chain(rest));
    let mut new = layout::lay_out(lesson, items, &gone);
    cut_slurs_at_rest(&mut new, id)?;
    Ok(Edit::between("Write over", lesson, &new))
}

/// Takes out of the items what lies in a stretch of this length from a place on. Gives what is gone, and a rest
/// with this id for what the last note had beyond.
pub(super) fn make_room(
    items: &mut Vec<item::Item>,
    place: usize,
    length: Quarters,
    free: EventId,
) -> (Vec<item::Item>, Option<item::Item>) {
    let (mut left, mut gone, mut rest) = (length, Vec::new(), None);
    while left.is_positive() && place < items.len() {
        let item = items.remove(place);
        let whole = item.length + item.gap;
        if whole > left {
            let silence = Event::new(free, Quarters::ZERO, item.events[0].value, Vec::new());
            rest = Some(item::Item::new(Event { duration: whole - left, ..silence }));
        }
        left = (left - whole).max(Quarters::ZERO);
        gone.push(item);
    }
    // Grace notes at the end of what is gone go too.
    while !gone.is_empty() && items.get(place).is_some_and(item::Item::is_after_grace) {
        gone.push(items.remove(place));
    }
    (gone, rest)
}

/// The place among the items behind a note with what belongs to it; the start without one.
pub(super) fn place_after(
    lesson: &Lesson,
    items: &[item::Item],
    after: Option<EventId>,
) -> Result<usize, EditError> {
    let Some(id) = after else { return Ok(0) };
    let mut place = item_of(lesson, items, id)?;
    // Grace notes stay with their note.
    while items[place].is_grace() && !items[place].is_after_grace() && place + 1 < items.len() {
        place += 1;
    }
    Ok(place + 1 + items[place + 1..].iter().take_while(|item| item.is_after_grace()).count())
}

/// A new note, chord or rest; behind a plucked note it is plucked.
fn new_event(
    lesson: &Lesson,
    after: Option<EventId>,
    value: NoteValue,
    pitches: &[Pitch],
) -> Result<Event, EditError> {
    let value = writable(value)?;
    let mut notes = Vec::with_capacity(pitches.len());
    for &pitch in pitches {
        put_note(lesson, &mut notes, pitch)?;
    }
    let pizzicato = after.and_then(|id| lesson.score.event(id)).is_some_and(|event| event.pizzicato);
    Ok(Event { pizzicato, ..Event::new(lesson.score.free_event_id(), Quarters::ZERO, value, notes) })
}

/// No slur goes over a rest: ends those that would go over this one, or over one behind it.
fn cut_slurs_at_rest(new: &mut Lesson, id: EventId) -> Result<(), EditError> {
    let mut behind = new.score.events.iter().skip_while(|event| event.id != id).filter(|e| e.voice == 0);
    let rests = behind.clone().take(2).any(|event| event.is_rest());
    if rests && let Some(next) = behind.find(|event| !event.is_rest() && event.id != id).map(|event| event.id)
    {
        let (line, place) = voice_line(&new.score, next)?;
        new.score.slurs = cut_slurs(&new.score, &line, |k| Some(u8::from(k >= place)));
    }
    Ok(())
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
    let ids: BTreeSet<EventId> = ids.iter().copied().collect();
    super::all_there(&lesson.score, &ids)?;
    let all = item::items(&lesson.score);
    let is_chosen = |item: &item::Item| item.events.iter().any(|event| ids.contains(&event.id));
    let mut goes: Vec<bool> = all.iter().map(is_chosen).collect();
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
        **event = Event { duration: event.duration, voice: event.voice, ..rest };
    }
    let others: BTreeSet<EventId> =
        lesson.score.events.iter().filter(|event| other(event)).map(|event| event.id).collect();
    if !others.is_empty() {
        base.score.slurs.retain(|slur| !(others.contains(&slur.from) || others.contains(&slur.to)));
    }
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
    let events: Vec<EventId> = line[place].ids().collect();
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

/// Makes one note head (counted from the lowest, from 0) sound half steps higher or lower on its letter, with
/// all that is tied to it. Ties to other notes end, and its string is found anew.
///
/// # Errors
/// When there is no such head, or it would have more than two sharps or flats or meet another head.
pub fn alter(lesson: &Lesson, id: EventId, head: usize, by: i8) -> Result<Edit, EditError> {
    if event(&lesson.score, id)?.is_rest() {
        return refuse("A rest has no pitch");
    }
    let (line, place) = voice_line(&lesson.score, id)?;
    let events: Vec<EventId> = line[place].ids().collect();
    let mut new = lesson.clone();
    for (index, &id) in events.iter().enumerate() {
        let mut notes = event(&lesson.score, id)?.notes.clone();
        let Some(note) = notes.get_mut(head) else {
            return refuse("This note head is not there any more");
        };
        note.pitch.alter += f32::from(by);
        if note.pitch.alter.abs() > 2.0 {
            return refuse("A note has at most a double sharp or a double flat; move it to another letter");
        }
        note.tie_stop &= index > 0;
        note.tie_start &= index + 1 < events.len();
        note.string = None;
        note.fingers.clear();
        let pitch = note.pitch;
        if !PITCHES.contains(&pitch.midi()) {
            return refuse("No instrument plays so far");
        }
        if notes.iter().filter(|note| note.pitch.midi() == pitch.midi()).count() > 1 {
            return refuse(format!("{} is there already", pitch.name()));
        }
        notes.sort_by(|a, b| a.pitch.midi().total_cmp(&b.pitch.midi()));
        change_event(&mut new.score, id, |event| event.notes = notes);
    }
    mend_ties(&mut new.score);
    Ok(Edit::between(if by > 0 { "Sharper" } else { "Flatter" }, lesson, &new))
}

/// Ties a note to the next one of its voice, where that has the same pitch.
///
/// # Errors
/// When no note of the same pitch follows directly.
pub fn join_ties(lesson: &Lesson, id: EventId) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    let last = line[place].last_id();
    let here = event(&lesson.score, last)?;
    let next = line.get(place + 1).map(|next| next.head);
    let next = next.filter(|next| next.onset == here.end() && next.grace.is_none());
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
    change_event(&mut new.score, next.id, |event| {
        for note in &mut event.notes {
            note.tie_stop |= shared(note.pitch.midi(), &here.notes);
        }
        if whole {
            (event.bow, event.retake, event.same_bow) = (None, false, None);
        }
    });
    if whole {
        // What began on the second note begins on the tied one.
        for slur in new.score.slurs.iter_mut().filter(|slur| slur.from == next.id) {
            slur.from = line[place].id();
        }
        for pin in new.pins.iter_mut().filter(|pin| pin.event == next.id) {
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
    let kinds = [SignKind::Clef(usual_clef(family)), SignKind::Tempo { qpm, text: String::new() }];
    let sign = |(id, kind)| Sign { id: SignId(id), at: Quarters::ZERO, kind };
    let score = Score {
        title: "New passage".to_owned(),
        part: sentence_case(family.word()),
        bars: bars.collect(),
        events: Vec::new(),
        slurs: Shared::default(),
        signs: (0..).zip(kinds).map(sign).collect(),
    };
    Lesson::new(score, family)
}

/// Gives a passage without notes to another instrument, with its usual clef and figures.
///
/// # Errors
/// When there are notes already.
pub fn set_family(lesson: &Lesson, family: Family) -> Result<Edit, EditError> {
    if lesson.score.events.iter().any(|event| !event.is_rest()) {
        return refuse("There are notes already; change the instrument under Instrument and player");
    }
    let mut new = set_clef(lesson, Quarters::ZERO, Some(usual_clef(family)))?.apply(lesson)?.0;
    new.score.part = sentence_case(family.word());
    new.setup = Setup { tempo_share: lesson.setup.tempo_share, ..Setup::for_family(family) };
    Ok(Edit::between("Instrument", lesson, &new))
}

/// The clef in which an instrument is mostly written.
pub fn usual_clef(family: Family) -> Clef {
    match family {
        Family::Violin => Clef::TREBLE,
        Family::Viola => Clef::ALTO,
        Family::Cello => Clef::BASS,
        // Printed an octave above the sound.
        Family::DoubleBass => Clef { octave: -1, ..Clef::BASS },
    }
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
