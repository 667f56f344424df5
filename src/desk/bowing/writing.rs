//! Writing notes by typing: a letter for the pitch, the length kept from note to note.

use egui::Ui;

use crate::{
    lesson::{Edit, EditError, Lesson, change},
    score::{Event, EventId, Letter, NoteValue, Pitch},
};

use crate::desk::{
    command::{
        Command,
        chord::key_words,
        write::{KEYS, WriteKey},
    },
    widgets::theme::bold,
};

/// What the next typed note will be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Writing {
    /// Length of the next note.
    pub value: NoteValue,
}

impl Default for Writing {
    fn default() -> Self {
        Self { value: NoteValue::QUARTER }
    }
}

/// Shortest and longest value typed, as powers of two of a whole note: a 64th and a double whole.
const VALUES: std::ops::RangeInclusive<i8> = -6..=1;

/// The name of a value.
pub fn value_words(value: NoteValue) -> String {
    let name = match value.log2_whole {
        1.. => "double whole",
        0 => "whole",
        -1 => "half",
        -2 => "quarter",
        -3 => "eighth",
        -4 => "16th",
        -5 => "32nd",
        _ => "64th",
    };
    match value.dots {
        0 => name.to_owned(),
        1 => format!("dotted {name}"),
        _ => format!("double dotted {name}"),
    }
}

impl Writing {
    /// Changes the length of the next note; true when the key was about that.
    pub fn change_value(&mut self, key: WriteKey) -> bool {
        match key {
            WriteKey::Shorter => self.value.log2_whole = (self.value.log2_whole - 1).max(*VALUES.start()),
            WriteKey::Longer => self.value.log2_whole = (self.value.log2_whole + 1).min(*VALUES.end()),
            WriteKey::Dot => self.value.dots = u8::from(self.value.dots == 0),
            WriteKey::Note(_)
            | WriteKey::Add(_)
            | WriteKey::Rest
            | WriteKey::Tie
            | WriteKey::Move { .. }
            | WriteKey::DeleteBefore => return false,
        }
        true
    }

    /// The edit a key asks for. `selected` is the note typed last or chosen.
    pub fn edit(&self, lesson: &Lesson, selected: Option<EventId>, key: WriteKey) -> Result<Edit, EditError> {
        let first = || selected.ok_or_else(|| EditError("Select a note first".to_owned()));
        match key {
            WriteKey::Note(step) => {
                let pitch = near(lesson, selected, step);
                change::insert(lesson, selected, self.value, &[pitch])
            }
            WriteKey::Rest => change::insert(lesson, selected, self.value, &[]),
            WriteKey::Add(step) => change::add_note(lesson, first()?, near(lesson, selected, step)),
            WriteKey::Tie => change::join_ties(lesson, first()?),
            WriteKey::Move { steps, half } => change::move_note(lesson, first()?, steps, half),
            WriteKey::DeleteBefore => change::delete(lesson, &[first()?]),
            WriteKey::Shorter | WriteKey::Longer | WriteKey::Dot => {
                Err(EditError("This key sets the length of the next note".to_owned()))
            }
        }
    }

    /// The writing strip: the length of the next note, and what each key does.
    pub fn strip_ui(&self, ui: &mut Ui, commands: &mut Vec<Command>) {
        ui.horizontal_wrapped(|ui| {
            ui.label(bold("Write"));
            ui.label(format!("next {} note", value_words(self.value)));
            for (write, words, chord) in KEYS.iter().filter(|key| !key.1.is_empty()) {
                if ui.button(format!("{}  {words}", key_words(*chord))).clicked() {
                    commands.push(Command::Write(*write));
                }
            }
            ui.weak(
                "A to G a note, with Shift a second one in it · up and down arrows move it, with Shift by half \
                 steps, with Ctrl by octaves",
            );
        });
    }
}

/// The pitch on a letter that lies nearest to the note before, with the sharps and flats of the
/// key; without a note before, nearest to the second open string.
pub fn near(lesson: &Lesson, before: Option<EventId>, step: Letter) -> Pitch {
    let score = &lesson.score;
    let index = before.and_then(|id| score.events.iter().position(|event| event.id == id));
    let sounding = |event: &Event| event.notes.last().map(|note| note.pitch);
    let last = index.and_then(|index| score.events[..=index].iter().rev().find_map(sounding));
    let strings = &lesson.setup.instrument.strings;
    let from = last.or_else(|| strings.get(1).or(strings.first()).map(|string| string.pitch));
    let from = from.map_or(28, Pitch::staff_step);
    let at = index.map_or(0, |index| score.bar_at(score.events[index].onset).unwrap_or(0));
    let key = score.bars.get(at).map_or(0, |bar| bar.key);
    let octave = (-1..=9).min_by_key(|octave| (octave * 7 + step as i32 - from).abs()).unwrap_or(4);
    Pitch::new(step, step.alter_in_key(key), octave as i8)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lesson::demo::demo;

    #[test]
    fn a_letter_is_taken_in_the_octave_nearest_to_the_note_before() {
        let lesson = demo();
        let b4 = lesson
            .score
            .events
            .iter()
            .find(|event| event.notes.first().is_some_and(|note| note.pitch.name() == "B4"));
        let id = b4.map(|event| event.id);
        assert_eq!(near(&lesson, id, Letter::C).name(), "C5");
        assert_eq!(near(&lesson, id, Letter::F).name(), "F♯4");
    }
}
