//! Stroke types, strings, speeds, practice tempo.

use crate::{
    lesson::{Edit, EditError, Lesson},
    score::{EventId, Mark, NoteValue, Quarters, SPEED_FACTORS, StrokeType, Sudden},
};

use super::{change_event, change_events, chosen, each, refuse, signs::set_dynamic, voice_line};

/// Marks of the fingers as they are printed: the open string, the thumb, four fingers.
pub const FINGERS: [&str; 6] = ["0", "T", "1", "2", "3", "4"];

/// Sets the stroke type of every chosen note, or leaves it to the marks again.
///
/// # Errors
/// When no note is chosen.
pub fn set_stroke(lesson: &Lesson, ids: &[EventId], stroke: Option<StrokeType>) -> Result<Edit, EditError> {
    each(lesson, ids, stroke.map_or("Stroke as marked", StrokeType::word), |event| event.stroke = stroke)
}

/// Puts a mark on every chosen note, or takes it off.
///
/// # Errors
/// When no note is chosen.
pub fn set_mark(lesson: &Lesson, ids: &[EventId], mark: Mark, on: bool) -> Result<Edit, EditError> {
    let mut new = lesson.clone();
    let notes = chosen(&lesson.score, ids)?;
    let tied = notes.iter().flat_map(|note| note.ids().enumerate());
    let leads = tied.map(|(index, id)| (id, index == 0)).collect();
    change_events(&mut new.score, &leads, |event, leads| {
        // It may stand on any of the tied notes; a new one stands on the first.
        event.marks.remove(&mark);
        if on && *leads {
            event.marks.insert(mark);
        }
    });
    Ok(Edit::between(if on { "Mark" } else { "Remove mark" }, lesson, &new))
}

/// Most strokes of a tremolo besides the beams (MusicXML 4.0, `tremolo-marks`).
const MOST_STROKES: u8 = 8;
/// Strokes of a tremolo between two notes, besides the beams: unmeasured in common practice, no source.
const STROKES_BETWEEN: u8 = 3;

/// Makes every chosen note a tremolo of so many strokes besides the beams, or a plain note again. What is tied
/// has them on each written note.
///
/// # Errors
/// When no note is chosen, or there are more than eight strokes or none.
pub fn set_tremolo(lesson: &Lesson, ids: &[EventId], strokes: Option<u8>) -> Result<Edit, EditError> {
    if strokes.is_some_and(|strokes| !(1..=MOST_STROKES).contains(&strokes)) {
        return refuse(format!("A tremolo has from 1 to {MOST_STROKES} strokes"));
    }
    let notes = chosen(&lesson.score, ids)?;
    let all = notes.iter().flat_map(|note| note.ids().map(|id| (id, ()))).collect();
    let mut new = lesson.clone();
    change_events(&mut new.score, &all, |event, ()| event.tremolo = strokes);
    Ok(Edit::between(if strokes.is_some() { "Tremolo" } else { "No tremolo" }, lesson, &new))
}

/// The note of the same voice before a note.
///
/// # Errors
/// When there is none.
pub fn note_before(lesson: &Lesson, id: EventId) -> Result<EventId, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    match place.checked_sub(1) {
        Some(before) => Ok(line[before].id()),
        None => refuse("There is no note before this one"),
    }
}

/// Has a note and the next one of its voice played in turns, as a tremolo between the two, or no longer.
///
/// # Errors
/// When no note of the same length follows at once, or one of the two is tied or in such a tremolo already.
pub fn tremolo_with_next(lesson: &Lesson, id: EventId) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    let heads = (line[place].head, line.get(place + 1).map(|next| next.head));
    let (one, Some(two)) = heads else {
        return refuse("No note follows that it could be played in turns with");
    };
    let length = one.duration;
    let is_whole = line[place..=place + 1].iter().all(|note| note.ids().count() == 1);
    let is_pair = is_whole && one.end() == two.onset && length == two.duration && length.is_positive();
    let events = &lesson.score.events;
    let pairs = lesson.score.tremolos_between();
    let own = pairs.iter().any(|pair| events[pair.from].id == one.id);
    let taken =
        |id: EventId| pairs.iter().any(|pair| [pair.from, pair.to].iter().any(|k| events[*k].id == id));
    if !own && (!is_pair || taken(one.id) || taken(two.id)) {
        return refuse("A tremolo between two notes needs two of the same length, one right after the other");
    }
    let printed = NoteValue::of_length(if own { length } else { length * Quarters::TWO });
    let Some(value) = printed else {
        return refuse("Such a tremolo cannot be printed: both notes together are no plain note value");
    };
    let mut new = lesson.clone();
    for id in [one.id, two.id] {
        change_event(&mut new.score, id, |event| {
            (event.value, event.tremolo) = (value, None);
            event.tremolo_to_next = (!own && id == one.id).then_some(STROKES_BETWEEN);
        });
    }
    Ok(Edit::between(if own { "No tremolo" } else { "Tremolo between two notes" }, lesson, &new))
}

/// Puts a dynamic that acts on one note alone, as it is printed ("sf", "ffz", "fp"), in the place of one that
/// stands there; the level after one that is soft at once comes with it.
///
/// # Errors
/// When there is no such note, or the letters are of another kind.
pub fn set_sudden(lesson: &Lesson, id: EventId, letters: &str) -> Result<Edit, EditError> {
    let Some((mark, own)) = Sudden::from_letters(letters) else {
        return refuse(format!("\"{letters}\" is no dynamic of one note, as sf, sfz, rfz or fp are"));
    };
    let mut new = lesson.clone();
    for old in [Mark::Sforzando, Mark::FortePiano] {
        new = set_mark(&new, &[id], old, old == mark)?.apply(&new)?.0;
    }
    let (line, place) = voice_line(&lesson.score, id)?;
    change_event(&mut new.score, line[place].id(), |event| event.sudden = own);
    if let Some(level) = Sudden::level_after((mark, own)) {
        new = set_dynamic(&new, line[place].head.onset, Some(level))?.apply(&new)?.0;
    }
    Ok(Edit::between("Dynamic", lesson, &new))
}

/// Binds one note head (counted from the lowest, from 0) to a string (1 is the highest), or frees it.
///
/// # Errors
/// When there is no such note head or string.
pub fn set_string(
    lesson: &Lesson,
    id: EventId,
    note_index: usize,
    string: Option<u8>,
) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    let count = lesson.setup.instrument.strings.len();
    if note_index >= line[place].head.notes.len() {
        return refuse("This note head is not there any more");
    }
    if let Some(number) = string
        && !(1..=count).contains(&usize::from(number))
    {
        return refuse(format!("There is no string {number}; the strings are 1 (the highest) to {count}"));
    }
    let mut new = lesson.clone();
    change_event(&mut new.score, line[place].id(), |event| {
        if let Some(note) = event.notes.get_mut(note_index) {
            note.string = string;
        }
    });
    Ok(Edit::between(if string.is_some() { "String" } else { "Any string" }, lesson, &new))
}

/// Sets the finger of one note head (counted from the lowest, from 0) by its printed mark, or leaves it
/// free: [`FINGERS`].
///
/// # Errors
/// When there is no such note head or finger, or no open string has this note.
pub fn set_finger(
    lesson: &Lesson,
    id: EventId,
    note_index: usize,
    finger: Option<&str>,
) -> Result<Edit, EditError> {
    let (line, place) = voice_line(&lesson.score, id)?;
    let Some(note) = line[place].head.notes.get(note_index) else {
        return refuse("This note head is not there any more");
    };
    let is_open = lesson.setup.instrument.strings.iter().any(|open| open.pitch.midi() == note.pitch.midi());
    if finger.is_some_and(|finger| !FINGERS.contains(&finger)) {
        return refuse("There is no such finger; 0 is the open string, T the thumb");
    }
    if finger == Some(FINGERS[0]) && !is_open {
        return refuse(format!("{} is no open string", note.pitch.name()));
    }
    let mut new = lesson.clone();
    change_event(&mut new.score, line[place].id(), |event| {
        if let Some(note) = event.notes.get_mut(note_index) {
            note.fingers = finger.map(str::to_owned).into_iter().collect();
        }
    });
    Ok(Edit::between(if finger.is_some() { "Finger" } else { "Any finger" }, lesson, &new))
}

/// Sets the factor on the wanted bow speed of every chosen note; none or 1 is the speed as marked.
///
/// # Errors
/// When no note is chosen, or the factor is out of range.
pub fn set_speed_factor(lesson: &Lesson, ids: &[EventId], factor: Option<f64>) -> Result<Edit, EditError> {
    if factor.is_some_and(|factor| !SPEED_FACTORS.contains(&factor)) {
        return refuse(format!(
            "The bow speed can be {} to {} times as marked",
            SPEED_FACTORS.start(),
            SPEED_FACTORS.end()
        ));
    }
    let factor = factor.filter(|factor| *factor != 1.0);
    each(lesson, ids, "Bow speed", |event| event.speed_factor = factor)
}

/// Sets the practice tempo as a share of the marked tempo.
///
/// # Errors
/// When the share is out of range.
pub fn set_tempo_share(lesson: &Lesson, share: f64) -> Result<Edit, EditError> {
    let mut new = lesson.clone();
    new.setup.tempo_share = share;
    match new.setup.problems().into_iter().next() {
        Some(problem) => refuse(problem),
        None => Ok(Edit::between("Practice tempo", lesson, &new)),
    }
}
