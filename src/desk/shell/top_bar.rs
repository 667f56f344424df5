//! The bar at the top: what is played, where, how fast, and the commands that belong to no note.

use egui::{DragValue, Slider, Ui};

use crate::{
    analysis::Analysis,
    lesson::{Lesson, change},
    score::Quarters,
    setup::TEMPO_SHARE,
};

use crate::desk::{
    command::{Action, Command, Group, TABLE, key_words},
    file::windows::{Files, Then},
    music::panel::gesture,
    state::history::History,
    state::view::View,
    widgets::theme::Look,
};

/// Range of the tempo slider as shares of the marked tempo.
const SLIDER: (f64, f64) = (0.25, 1.5);

/// Width from which the bar holds everything, points at the ordinary size of type.
const WIDE: f32 = 1180.0;

/// A button for a command of the table.
pub fn button(ui: &mut Ui, action: Action, commands: &mut Vec<Command>) {
    let entry = action.entry();
    if ui.button(entry.words).on_hover_text(entry.hover()).clicked() {
        commands.push(Command::Do(action));
    }
}

/// Draws the bar.
pub fn top_ui(
    ui: &mut Ui,
    history: &History,
    analysis: &Analysis,
    view: &View,
    now_s: f64,
    (files, recent): (&Files, &[std::path::PathBuf]),
    look: Look,
    commands: &mut Vec<Command>,
) {
    let lesson = history.lesson();
    ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
    // What a narrow window has no room for is also in the menu or has a key.
    let unit = ui.text_style_height(&egui::TextStyle::Button) / 18.0;
    let room = ui.available_width() / unit;
    let letters = if room < 1300.0 { 22 } else { 44 };
    // As high as the title, so that all in the row is centred on it.
    ui.spacing_mut().interact_size.y = ui.text_style_height(&egui::TextStyle::Heading) + 4.0;
    ui.horizontal(|ui| {
        lesson_menu(ui, files, recent, commands);
        let title = if lesson.score.title.trim().is_empty() { "Untitled" } else { lesson.score.title.trim() };
        let label = ui.add(egui::Label::new(egui::RichText::new(short(title, letters)).heading()));
        label.on_hover_text(format!("{title}\n{}", lesson.score.part));
        if history.is_unsaved() {
            ui.label("•").on_hover_text("There are changes that are not saved");
        }
        let left = if room < 1300.0 { 46 } else { 80 } - title.chars().count().min(letters);
        player(ui, lesson, room > WIDE, left, commands);
        ui.separator();
        play(ui, view, commands);
        let at = told_place(lesson, analysis, analysis.quarters_at(now_s));
        // The end is the last beat done, not a beat beyond the bar.
        let end = lesson.score.end();
        let place = if at >= end && end > Quarters::ZERO {
            "the end".to_owned()
        } else {
            lesson.score.place(at).to_string()
        };
        ui.add_sized([128.0 * unit, 20.0], egui::Label::new(place));
        ui.separator();
        tempo(ui, lesson, at, room > WIDE, commands);
        let looped = view.clock.span().is_some();
        let entry = Action::Loop.entry();
        let words = if looped { "Loop on" } else { "Loop" };
        if ui.add(egui::Button::new(words).selected(looped)).on_hover_text(entry.hover()).clicked() {
            commands.push(Command::Do(Action::Loop));
        }
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            right_side(ui, history, view, look, commands);
        });
    });
}

/// The moment whose place is told: of a note that starts just there, else in parts of a beat; finer
/// figures only flicker while playing.
fn told_place(lesson: &Lesson, analysis: &Analysis, quarters: f64) -> Quarters {
    let here = |at: &Quarters| (at.to_f64() - quarters).abs() < 1e-6;
    let onset = analysis.line.notes.iter().map(|note| note.onset).find(here);
    onset.unwrap_or_else(|| lesson.score.nearest_beat_part(quarters))
}

fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most - 1).chain(['…']).collect()
}

fn lesson_menu(ui: &mut Ui, files: &Files, recent: &[std::path::PathBuf], commands: &mut Vec<Command>) {
    ui.menu_button("Lesson", |ui| {
        ui.set_min_width(260.0);
        for entry in TABLE.iter().filter(|entry| entry.group == Group::Lesson) {
            if entry.action == Action::Report && files.report.is_empty() {
                continue;
            }
            if entry.action == Action::Quit {
                ui.separator();
                if recent.is_empty() {
                    ui.weak("No recent files");
                } else {
                    ui.weak("Recent files");
                }
                for path in recent {
                    let name =
                        path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
                    if ui.button(name).on_hover_text(path.display().to_string()).clicked() {
                        commands.push(Command::Leave(Then::Open(path.clone())));
                        ui.close();
                    }
                }
                ui.separator();
            }
            let key = entry.keys.first().map_or_else(String::new, |key| key_words(*key));
            let item = ui.add(egui::Button::new(entry.words).shortcut_text(key));
            let item = if entry.tip.is_empty() { item } else { item.on_hover_text(entry.tip) };
            if item.clicked() {
                commands.push(Command::Do(entry.action));
                ui.close();
            }
        }
    });
}

fn player(ui: &mut Ui, lesson: &Lesson, in_full: bool, letters: usize, commands: &mut Vec<Command>) {
    let setup = &lesson.setup;
    let family = setup.instrument.family.word();
    let words = if in_full {
        format!("{family} {} · {}", setup.instrument.size, setup.player.name)
    } else {
        family.to_owned()
    };
    let entry = Action::Setup.entry();
    if ui.button(short(&words, letters)).on_hover_text(entry.hover()).clicked() {
        commands.push(Command::Do(Action::Setup));
    }
}

fn play(ui: &mut Ui, view: &View, commands: &mut Vec<Command>) {
    let playing = view.clock.is_playing();
    let words = if playing { "Pause" } else { "Play" };
    let button = egui::Button::new(words).min_size(egui::vec2(56.0, 0.0)).selected(playing);
    if ui.add(button).on_hover_text(Action::Play.entry().hover()).clicked() {
        commands.push(Command::Do(Action::Play));
    }
}

fn tempo(ui: &mut Ui, lesson: &Lesson, at: Quarters, with_slider: bool, commands: &mut Vec<Command>) {
    let marked = lesson.score.tempo_map().qpm_at(at);
    let share = lesson.setup.tempo_share;
    let mut qpm = marked * share;
    let mut slid = qpm;
    ui.add(
        DragValue::new(&mut qpm)
            .range(marked * TEMPO_SHARE.0..=marked * TEMPO_SHARE.1)
            .speed(0.5)
            .fixed_decimals(0)
            .prefix("♩ = "),
    )
    .accessible_name("Practice tempo")
    .on_hover_text("Practice tempo in quarter notes a minute; click to type one");
    ui.weak(if (share - 1.0).abs() < 1e-3 { "as marked".to_owned() } else { format!("of {marked:.0}") });
    let mut wanted = qpm;
    if with_slider {
        let slider =
            Slider::new(&mut slid, marked * SLIDER.0..=marked * SLIDER.1).show_value(false).step_by(1.0);
        let slider = ui.add(slider).accessible_name("Practice tempo slider");
        // It rounds to whole steps, and calls that a change, whatever tempo was set elsewhere.
        if slider.changed() && (slider.dragged() || slider.clicked() || slider.has_focus()) {
            wanted = slid;
        }
    }
    if (wanted - marked * share).abs() > 1e-6 {
        let mut new = wanted / marked;
        // The marked tempo itself is easy to hit.
        if (new - 1.0).abs() * marked < 0.75 {
            new = 1.0;
        }
        let edit = change::set_tempo_share(lesson, new.clamp(TEMPO_SHARE.0, TEMPO_SHARE.1));
        commands.push(Command::Edit(Box::new(edit), Some(gesture(ui, "tempo"))));
    }
    if (share - 1.0).abs() > 1e-3 && ui.small_button("×1").on_hover_text("Back to the marked tempo").clicked()
    {
        commands.push(Command::Edit(Box::new(change::set_tempo_share(lesson, 1.0)), None));
    }
}

/// Right to left: keys, theme, write, redo, undo.
fn right_side(ui: &mut Ui, history: &History, view: &View, look: Look, commands: &mut Vec<Command>) {
    if ui.button("? keys").on_hover_text(Action::Keys.entry().hover()).clicked() {
        commands.push(Command::Do(Action::Keys));
    }
    let mut chosen = look;
    let combo =
        egui::ComboBox::from_id_salt("theme").selected_text(look.words()).width(72.0).show_ui(ui, |ui| {
            for look in Look::ALL {
                ui.selectable_value(&mut chosen, look, look.words());
            }
        });
    combo.response.accessible_name("Theme").on_hover_text(Action::NextLook.entry().hover());
    if chosen != look {
        commands.push(Command::Look(chosen));
    }
    if ui
        .add(egui::Button::new("Write").selected(view.writing))
        .on_hover_text(Action::Write.entry().hover())
        .clicked()
    {
        commands.push(Command::Do(Action::Write));
    }
    let (undo, redo) = history.words();
    for (action, what) in [(Action::Redo, redo), (Action::Undo, undo)] {
        let entry = action.entry();
        let button = ui.add_enabled(what.is_some(), egui::Button::new(entry.words));
        let hover = what.map_or_else(|| entry.hover(), |what| format!("{}: {what}", entry.hover()));
        if button.on_hover_text(hover).clicked() {
            commands.push(Command::Do(action));
        }
    }
}
