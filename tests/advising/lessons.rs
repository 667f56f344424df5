//! Lessons of chance for tests of the search for a bowing, the same on every run.

use elbowroom::{
    lesson::{
        Edit, EditError, Lesson, Writer,
        change::{hair_pin, new_passage, set_bow, set_dynamic, set_retake, set_slur},
    },
    score::{Direction, Dynamic, EventId, NoteValue, Quarters, Sign, SignKind, TimeSignature},
    setup::Family,
};

use crate::{music::written, random::Random};

/// Makes a change if it can be made.
pub fn take(lesson: &mut Lesson, edit: Result<Edit, EditError>) {
    if let Ok(edit) = edit {
        *lesson = edit.apply(lesson).expect("an edit that was built can be made").0;
    }
}

/// A passage with slurs, marks, dynamics, a rest now and then; `slurs` is how often a slur starts.
pub fn passage(random: &mut Random, count: usize, slurs: f64) -> (Lesson, Vec<EventId>) {
    let beats = if random.chance(0.5) { 3 } else { 4 };
    let qpm = random.between(50.0, 110.0).round();
    let mut writer = Writer::new(new_passage(Family::Violin, TimeSignature::new(beats, 4), 0, qpm));
    let mut notes = 0;
    while notes < count {
        let value = match random.between(0.0, 10.0) as usize {
            0..=2 => NoteValue::EIGHTH,
            3..=5 => NoteValue::QUARTER,
            6..=7 => NoteValue::HALF.dotted(),
            8 => NoteValue::QUARTER.dotted(),
            _ => NoteValue::HALF,
        };
        if notes > 0 && random.chance(0.06) {
            writer = writer.rest(value);
        } else {
            writer = writer.note("A4", value);
            notes += 1;
        }
    }
    let (mut lesson, mut ids) = written(writer);
    ids.retain(|id| lesson.score.event(*id).is_some_and(|event| !event.is_rest()));
    let mut k = 0;
    while k < count {
        if random.chance(slurs) {
            let until = (k + 2 + random.between(0.0, 3.0) as usize).min(count);
            let edit = set_slur(&lesson, &ids[k..until], true);
            take(&mut lesson, edit);
            k = until;
        } else {
            k += 1;
        }
    }
    for k in 0..count {
        if random.chance(0.08) {
            let way = if random.chance(0.5) { Direction::Down } else { Direction::Up };
            let edit = set_bow(&lesson, &ids[k..=k], Some(way));
            take(&mut lesson, edit);
        }
        if random.chance(0.04) {
            let edit = set_retake(&lesson, ids[k], true);
            take(&mut lesson, edit);
        }
    }
    for at in [0, 4, 8] {
        if random.chance(0.6) {
            let level = Dynamic::ALL[1 + random.between(0.0, 6.0) as usize];
            let edit = set_dynamic(&lesson, Quarters::from(at), Some(level));
            take(&mut lesson, edit);
        }
    }
    if random.chance(0.3) {
        let id = lesson.score.free_sign_id();
        let kind = SignKind::Hairpin { opens: random.chance(0.5), end: Quarters::from(4), niente: false };
        lesson.score.signs.push(Sign { id, at: Quarters::from(2), kind });
        lesson.score.sort();
    }
    if random.chance(0.2) {
        let at = random.between(0.0, 1.0);
        let edit = hair_pin(&lesson, ids[count / 2], Some((at, at)));
        take(&mut lesson, edit);
    }
    (lesson, ids)
}
