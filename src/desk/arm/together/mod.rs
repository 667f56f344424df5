//! Notes that sound together, large in the middle: any two to four notes, how they lie under the hand
//! and the bow, and what would work where they cannot be played.

mod chosen;
mod notes;
mod said;

use egui::{Button, Role, ScrollArea, Sense, Ui, WidgetInfo, vec2};

use crate::{
    analysis::{BowState, Study},
    arm::Together,
    desk::{
        command::{Action, Command, Making, Page},
        state::now::Now,
        widgets::{
            controls::picture_ui,
            painter::{Scale, ScreenPainter},
        },
    },
    lesson::{Lesson, change},
    picture::{self, TogetherView},
    practice::double_stop_ladder,
    score::{Note, NoteValue, Pitch},
    tone::{StringShare, weight_on},
};

use chosen::places;
use notes::{notes_ui, sound_ui};
use said::said_ui;

pub use chosen::TogetherDesk;

/// Width of the drawing, mm.
const WIDTH_MM: f64 = 150.0;
/// Width of the drawing as a part of the height it has, the words above it left out. Assumed.
const WIDE: f32 = 1.45;

/// Draws the notes, what is to say of them, and the picture.
pub fn together_ui(
    ui: &mut Ui,
    now: &Now,
    desk: &mut TogetherDesk,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    let lesson = now.lesson();
    places_ui(ui, &now.study, desk, commands);
    ui.horizontal_wrapped(|ui| notes_ui(ui, lesson, desk));
    let found = desk.look(lesson);
    ui.horizontal_wrapped(|ui| {
        sound_ui(ui, desk);
        ui.separator();
        write_ui(ui, desk, &found, commands);
        exercise_ui(ui, &now.study, desk, commands);
    });
    desk.plane = desk.plane.min(found.pairs.len().saturating_sub(1));
    let shares = shares(lesson, desk, &found);
    ScrollArea::vertical().auto_shrink([false, false]).show(ui, |ui| {
        said_ui(ui, now, desk, &found, &shares);
        ui.add_space(4.0);
        drawing_ui(ui, now, desk, &found, &shares, painter);
    });
}

fn drawing_ui(
    ui: &mut Ui,
    now: &Now,
    desk: &TogetherDesk,
    found: &Together,
    shares: &[StringShare],
    painter: &mut ScreenPainter,
) {
    let Some(pair) = found.pairs.get(desk.plane) else { return };
    let state = BowState { plane: pair.plane, level_deg: pair.angle_deg, on_string: true, ..now.bow };
    let room = ui.available_size();
    let width = room.x.min(room.y.max(200.0) * WIDE);
    let view = TogetherView { together: found, shares, state: &state, width_mm: WIDTH_MM };
    let drawing = picture::together(&now.study, &view);
    let points_per_mm = width / WIDTH_MM as f32;
    let size = vec2(room.x, drawing.height_mm as f32 * points_per_mm);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| {
        let words = format!("{} on {}: fingers, bow plane and weight", found.names.join(", "), pair.name);
        WidgetInfo::labeled(Role::Image, true, words)
    });
    let left = rect.left() + (rect.width() - width) / 2.0;
    let scale = Scale { origin: egui::pos2(left, rect.top()), points_per_mm };
    picture_ui(ui, rect, &drawing, scale, now.look.theme(), painter);
}

/// The weight on the strings of the plane that is shown.
fn shares(lesson: &Lesson, desk: &TogetherDesk, found: &Together) -> Vec<StringShare> {
    let Some(pair) = found.pairs.get(desk.plane) else { return Vec::new() };
    weight_on(&lesson.setup, found, pair.plane, f64::from(desk.dynamic as u8))
}

/// From double stop to double stop of the music, and back to it.
fn places_ui(ui: &mut Ui, study: &Study, desk: &mut TogetherDesk, commands: &mut Vec<Command>) {
    let (lesson, analysis) = (study.lesson(), study.analysis());
    let places = places(analysis);
    let here = desk.place.and_then(|id| places.iter().position(|(_, other)| *other == id));
    ui.horizontal_wrapped(|ui| {
        ui.heading("Sounding together");
        let words = match (here, places.len()) {
            (_, 0) => "no double stops in this music".to_owned(),
            (Some(nth), count) => {
                let attack = &analysis.line.notes[places[nth].0];
                format!("{} of {count}, {}", nth + 1, lesson.score.place(attack.onset))
            }
            (None, 1) => "your own notes; one double stop in the music".to_owned(),
            (None, count) => format!("your own notes; {count} double stops in the music"),
        };
        ui.add_enabled_ui(!places.is_empty(), |ui| {
            let last = places.len().saturating_sub(1);
            let before = here.map_or(last, |nth| nth.checked_sub(1).unwrap_or(last));
            let after = here.map_or(0, |nth| if nth == last { 0 } else { nth + 1 });
            for (words, to) in [("Previous", before), ("Next", after)] {
                let hover = "To another double stop or chord of the music";
                if ui.button(words).on_hover_text(hover).clicked() {
                    desk.take(study, places[to].1);
                    commands.push(Command::Note(places[to].1));
                }
            }
        });
        ui.weak(words);
        ui.separator();
        if ui.button("Back to the music").on_hover_text(Action::Together.entry().hover()).clicked() {
            commands.push(Command::Do(Action::Together));
        }
    });
}

/// The way up to these notes, or to all double stops of the music, as an exercise.
fn exercise_ui(ui: &mut Ui, study: &Study, desk: &TogetherDesk, commands: &mut Vec<Command>) {
    let hover = "A new lesson: the open pair, each note alone, both fingers down, then both notes";
    let own: Vec<[Note; 2]> = desk.notes.windows(2).map(|pair| [pair[0].clone(), pair[1].clone()]).collect();
    let possible = double_stop_ladder(study.lesson(), &own).is_some();
    if ui.add_enabled(possible, Button::new("Practise it step by step")).on_hover_text(hover).clicked() {
        commands.push(Command::Make(Making::DoubleStops(Some(own))));
    }
    if let Some(note) = desk.place
        && ui.button("A page for the pupil").on_hover_text("These notes on the handout").clicked()
    {
        commands.push(Command::Page(Page::DoubleStop(note)));
    }
    if places(study.analysis()).len() > 1 && ui.button("Practise all").on_hover_text(hover).clicked() {
        commands.push(Command::Make(Making::DoubleStops(None)));
    }
}

/// Writes notes of one's own into the music.
fn write_ui(ui: &mut Ui, desk: &TogetherDesk, found: &Together, commands: &mut Vec<Command>) {
    let hover = "As a quarter note, after all that is there";
    let possible = desk.place.is_none() && found.problem.is_none();
    let button = ui.add_enabled(possible, Button::new("Write it at the end of the music"));
    if button.on_hover_text(hover).clicked() {
        let pitches: Vec<Pitch> = desk.notes.iter().map(|note| note.pitch).collect();
        let edit = move |lesson: &Lesson| {
            let last = lesson.score.events.iter().rev().find(|event| event.voice == 0);
            change::insert(lesson, last.map(|event| event.id), NoteValue::QUARTER, &pitches)
        };
        commands.push(Command::edit(edit));
    }
}
