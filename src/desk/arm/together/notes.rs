//! The notes that sound together, each with its pitch and its string, and how they sound.

use egui::{Button, ComboBox, DragValue, Role, Ui, WidgetInfo};

use crate::{
    arm::together,
    lesson::Lesson,
    score::{Dynamic, Note, Pitch},
};

use super::chosen::{FEWEST, LONGEST_S, MOST, TogetherDesk};

/// Half steps above the highest open string that can be chosen. Assumed: two octaves and a half.
const HIGHEST: i32 = 30;
/// Half steps up and down listed to choose from, and the height of that list, points.
const NEAR: i32 = 7;
const LIST_HEIGHT: f32 = 420.0;
/// What each note is called.
const ORDER: [&str; MOST] = ["Lowest note", "Second note", "Third note", "Fourth note"];

/// Draws the notes, which can be changed, left out and added to.
pub fn notes_ui(ui: &mut Ui, lesson: &Lesson, desk: &mut TogetherDesk) {
    let strings = &lesson.setup.instrument.strings;
    let flats = lesson.score.bars.first().is_some_and(|bar| bar.key < 0);
    let (Some(low), Some(high)) = (strings.last(), strings.first()) else { return };
    let range = (low.pitch.midi() as i32, high.pitch.midi() as i32 + HIGHEST);
    let mut notes = desk.notes.clone();
    let mut gone = None;
    for (index, (note, order)) in notes.iter_mut().zip(ORDER).enumerate() {
        pitch_ui(ui, note, order, range, flats);
        string_ui(ui, lesson, note, order);
        if desk.notes.len() > FEWEST {
            let button = ui.add(Button::new("×"));
            button.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{order}: leave it out")));
            if button.on_hover_text("Leave it out").clicked() {
                gone = Some(index);
            }
        }
        ui.separator();
        // Four have no room in one row; it is broken between two notes rather than inside one.
        if desk.notes.len() == MOST && index == 1 {
            ui.end_row();
        }
    }
    if let Some(index) = gone {
        notes.remove(index);
    }
    if notes.len() < MOST.min(strings.len()) && ui.button("Add a note").clicked() {
        notes.extend(easiest_above(lesson, &notes, flats));
    }
    if notes != desk.notes {
        desk.set(notes);
    }
}

fn pitch_ui(ui: &mut Ui, note: &mut Note, order: &'static str, (low, high): (i32, i32), flats: bool) {
    let now = note.pitch.midi().round() as i32;
    let mut midi = now;
    for (words, by, hover) in [("–", -1, "Half a step down"), ("+", 1, "Half a step up")] {
        if by > 0 {
            let list = ComboBox::from_id_salt(order).selected_text(note.pitch.name()).width(58.0);
            let shown = list.height(LIST_HEIGHT).show_ui(ui, |ui| {
                // Those near by, highest first, all in view.
                let near = (now - NEAR).max(low)..=(now + NEAR).min(high);
                for pitch in near.rev() {
                    ui.selectable_value(&mut midi, pitch, Pitch::from_midi(pitch, flats).name());
                }
            });
            shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, order));
        }
        let possible = (low..=high).contains(&(now + by));
        let button = ui.add_enabled(possible, Button::new(words));
        button.widget_info(|| WidgetInfo::labeled(Role::Button, possible, format!("{order}: {hover}")));
        if button.on_hover_text(hover).clicked() {
            midi = now + by;
        }
    }
    if midi != now {
        // Half a step down is a flat, as it is when a note is lowered in writing.
        *note = Note::new(Pitch::from_midi(midi, flats || midi == now - 1));
    }
}

fn string_ui(ui: &mut Ui, lesson: &Lesson, note: &mut Note, order: &'static str) {
    let strings = &lesson.setup.instrument.strings;
    let mut string = note.string;
    let words = string.and_then(|n| strings.get(usize::from(n).saturating_sub(1)));
    let words = words.map_or("any string".to_owned(), |string| format!("on {}", string.name));
    let list = ComboBox::from_id_salt(("string of", order)).selected_text(words).width(78.0);
    let shown = list.show_ui(ui, |ui| {
        ui.selectable_value(&mut string, None, "any string");
        for (n, name) in strings.iter().enumerate() {
            ui.selectable_value(&mut string, Some(n as u8 + 1), format!("on {}", name.name));
        }
    });
    shown.response.widget_info(|| WidgetInfo::labeled(Role::ComboBox, true, format!("{order}, string")));
    if string != note.string {
        (note.string, note.fingers) = (string, Vec::new());
    }
}

/// The note above the highest one that is easiest with the others: within an octave, with the hand
/// lowest, and the nearest of those.
fn easiest_above(lesson: &Lesson, notes: &[Note], flats: bool) -> Option<Note> {
    let top = notes.last()?.pitch.midi() as i32;
    let place = |midi: i32| {
        let note = Note::new(Pitch::from_midi(midi, flats));
        let chord: Vec<Note> = notes.iter().cloned().chain([note.clone()]).collect();
        let found = together(&lesson.setup, &chord, 1.0);
        let hand = found.hand.map_or(0, |hand| hand.place);
        found.problem.is_none().then_some((hand, midi, note))
    };
    let above = (top + 3..=top + 12).filter_map(place);
    let easiest = above.min_by_key(|(hand, midi, _)| (*hand, *midi)).map(|(_, _, note)| note);
    easiest.or_else(|| Some(Note::new(Pitch::from_midi(top + 4, flats))))
}

/// How loud, and how long a chord is.
pub fn sound_ui(ui: &mut Ui, desk: &mut TogetherDesk) {
    let label = ui.label("Loudness");
    let list = ComboBox::from_id_salt("loudness").selected_text(desk.dynamic.mark()).width(48.0);
    let shown = list.show_ui(ui, |ui| {
        for level in Dynamic::ALL {
            ui.selectable_value(&mut desk.dynamic, level, level.mark());
        }
    });
    shown.response.labelled_by(label.id);
    if desk.notes.len() > 2 {
        let label = ui.label("Length");
        let drag = DragValue::new(&mut desk.seconds).range(0.05..=LONGEST_S).speed(0.02).suffix(" s");
        ui.add(drag.max_decimals(2)).labelled_by(label.id);
    }
}
