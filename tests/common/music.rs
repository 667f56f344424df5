//! Short passages for tests, written by the library's own [`Writer`].

#![allow(dead_code, reason = "each test uses its part")]

use elbowroom::{
    lesson::{Edit, EditError, Lesson, Writer, change::new_passage},
    score::{EventId, NoteValue, Pitch, TimeSignature},
    setup::Family,
};

pub const WHOLE: NoteValue = NoteValue::WHOLE;
pub const HALF: NoteValue = NoteValue::HALF;
pub const QUARTER: NoteValue = NoteValue::QUARTER;
pub const EIGHTH: NoteValue = NoteValue::EIGHTH;
pub const SIXTEENTH: NoteValue = NoteValue::SIXTEENTH;
pub const DOTTED_HALF: NoteValue = HALF.dotted();
pub const DOTTED_EIGHTH: NoteValue = EIGHTH.dotted();

/// A violin part in common time at 60 quarters a minute, to be written.
pub fn violin() -> Writer {
    Writer::new(new_passage(Family::Violin, TimeSignature::new(4, 4), 0, 60.0))
}

/// What was written: the lesson, its notes and rests in order.
pub fn written(writer: Writer) -> (Lesson, Vec<EventId>) {
    writer.finish().expect("it can be written")
}

/// These values on one pitch for the violin, at 60 quarters a minute.
pub fn passage(values: &[NoteValue]) -> (Lesson, Vec<EventId>) {
    written(values.iter().fold(violin(), |writer, value| writer.note("A4", *value)))
}

/// These values with these MIDI pitches, none for a rest.
pub fn chords(writer: Writer, values: &[(NoteValue, &[i32])]) -> (Lesson, Vec<EventId>) {
    written(values.iter().fold(writer, |writer, (value, midi)| {
        let pitches: Vec<Pitch> = midi.iter().map(|&midi| Pitch::from_midi(midi, false)).collect();
        writer.pitches(&pitches, *value)
    }))
}

/// The lesson after a change.
pub fn taken(lesson: &Lesson, edit: Result<Edit, EditError>) -> Lesson {
    edit.and_then(|edit| edit.apply(lesson)).expect("the edit can be made").0
}

/// Makes a change.
pub fn take(lesson: &mut Lesson, edit: Result<Edit, EditError>) {
    *lesson = taken(lesson, edit);
}

/// Every run-out is told, whether a player would feel it or not: for passages worked out by hand.
pub fn tell_every_run_out(lesson: &mut Lesson) {
    let rules = &mut lesson.setup.school.rules;
    (rules.least_run_out_mm, rules.least_run_out_s, rules.felt_ratio) = (15.0, 0.0, 1.0);
}

/// The same bow speed at every dynamic and for every length, mm/s, as the closed forms have it.
pub fn one_speed(lesson: &mut Lesson, mm_per_s: f64) {
    in_proportion(lesson, [mm_per_s; 8]);
}

/// Speeds for ppp to fff at which the hair can be counted in the head: at mf 16 cm/s.
pub const ROUND_SPEEDS: [f64; 8] = [60.0, 80.0, 105.0, 130.0, 160.0, 210.0, 275.0, 340.0];

/// Hair in proportion to the length of a note, at these speeds for ppp to fff, mm/s.
pub fn in_proportion(lesson: &mut Lesson, mm_per_s: [f64; 8]) {
    let school = &mut lesson.setup.school;
    (school.short_stroke_mm_per_s, school.change_s) = (mm_per_s, 0.0);
    school.long_stroke_hair = [1e9; 8];
}
