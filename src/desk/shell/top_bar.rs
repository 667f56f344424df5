//! The bar at the top: what is played, where, how fast, and the commands that belong to no note.

use std::path::PathBuf;

use egui::{Align, Button, ComboBox, DragValue, Label, Layout, RichText, Slider, TextStyle, Ui, vec2};
use strum::IntoEnumIterator as _;

use crate::{
    analysis::Study,
    desk::{
        command::{Action, Command, Group, buttons::toggle, chord::key_words},
        state::{
            files::{Files, Then},
            history::History,
            now::Now,
            view::View,
        },
        widgets::{controls::gesture, theme::Look},
    },
    lesson::{Lesson, change},
    score::Quarters,
    setup::TEMPO_SHARE,
};

/// Range of the tempo slider as shares of the marked tempo.
const SLIDER: (f64, f64) = (0.25, 1.5);

/// Width from which the bar holds everything, points at the ordinary size of type.
const WIDE: f32 = 1180.0;

/// Letters of the title that are shown however narrow the window is.
const LEAST_LETTERS: usize = 8;

/// What the bar reads.
pub struct TopInput<'a> {
    /// The lesson and the moment.
    pub now: &'a Now,
    /// What was done to the lesson.
    pub history: &'a History,
    /// The playhead and what is shown.
    pub view: &'a View,
    /// The file of the lesson.
    pub files: &'a Files,
    /// Files opened and saved, the latest first.
    pub recent: &'a [PathBuf],
    /// The round of the loop and its tempo, while rounds grow faster.
    pub round: Option<&'a str>,
    /// Something is to be heard.
    pub is_heard: bool,
    /// The time, s.
    pub now_s: f64,
}

/// Draws the bar.
pub fn top_ui(ui: &mut Ui, input: &TopInput<'_>, commands: &mut Vec<Command>) {
    let lesson = input.now.lesson();
    ui.style_mut().override_text_style = Some(TextStyle::Button);
    // What a narrow window has no room for is also in the menu or has a key.
    let unit = ui.text_style_height(&TextStyle::Button) / 18.0;
    let room = ui.available_width() / unit;
    // The buttons of the repeats and of the round take the room of so many letters of the title.
    let taken = if has_repeats(input.view) { 8 } else { 0 } + if input.round.is_some() { 9 } else { 0 };
    let (all, letters) = letters(room);
    let letters = letters.saturating_sub(taken).max(LEAST_LETTERS);
    // As high as the title, so that all in the row is centred on it.
    ui.spacing_mut().interact_size.y = ui.text_style_height(&TextStyle::Heading) + 4.0;
    ui.horizontal(|ui| {
        lesson_menu(ui, input, commands);
        let title = title_ui(ui, input, letters);
        let left = all.saturating_sub(taken + title.min(letters)).max(LEAST_LETTERS);
        player(ui, lesson, room > WIDE, left, commands);
        ui.separator();
        play(ui, input.view, commands);
        toggle(ui, Action::PlaySettings, "Sound", input.is_heard, commands);
        let at = told_place(&input.now.study, input.now.quarters());
        ui.add_sized([128.0 * unit, 20.0], Label::new(place_words(&input.now.study, at)));
        ui.separator();
        tempo(ui, &input.now.study, at, room > WIDE, commands);
        let looped = input.view.clock.span().is_some();
        let words = input.round.unwrap_or(if looped { "Loop on" } else { "Loop" });
        toggle(ui, Action::Loop, words, looped, commands);
        repeats(ui, input.view, input.now_s, commands);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| right_side(ui, input, commands));
    });
}

/// How many letters go into title, part and player together, and how many of them into title and part: what the
/// rest of a bar of this room leaves, in points at the ordinary size of type. Measured.
fn letters(room: f32) -> (usize, usize) {
    if room <= WIDE {
        return (28, 18);
    }
    let all = (36.0 + (room - 1256.0) / 6.0).clamp(30.0, 80.0) as usize;
    (all, all * 11 / 20)
}

/// There is something to repeat.
fn has_repeats(view: &View) -> bool {
    !view.repeats || view.clock.has_turns()
}

/// Whether repeats are played, where there are any, and which time it is.
fn repeats(ui: &mut Ui, view: &View, now_s: f64, commands: &mut Vec<Command>) {
    if !has_repeats(view) {
        return;
    }
    let words = match view.clock.time(now_s) {
        0 | 1 => "Repeats",
        2 => "2nd time",
        3 => "3rd time",
        _ => "Once more",
    };
    toggle(ui, Action::Repeats, words, view.repeats, commands);
}

/// The title, and a dot when not all is saved; gives the length of the title in letters.
fn title_ui(ui: &mut Ui, input: &TopInput<'_>, letters: usize) -> usize {
    let score = &input.now.lesson().score;
    let title = if score.title.trim().is_empty() { "Untitled" } else { score.title.trim() };
    // The part has a third of the room, where it says more than the title.
    let part = score.part.trim();
    let part = if letters < 24 || title.contains(part) { String::new() } else { short(part, letters / 3) };
    let letters = letters - part.chars().count();
    let label = ui.add(Label::new(RichText::new(short(title, letters)).heading()));
    label.on_hover_text(format!("{title}\n{}", score.part));
    if !part.is_empty() {
        ui.label(RichText::new(&part).weak());
    }
    if input.history.is_unsaved() {
        ui.label("•").on_hover_text("There are changes that are not saved");
    }
    title.chars().count() + part.chars().count()
}

/// The end is the last beat done, not a beat beyond the bar.
fn place_words(study: &Study, at: Quarters) -> String {
    let line = &study.analysis().line;
    if at >= line.end && line.end > Quarters::ZERO {
        return "the end".to_owned();
    }
    study.lesson().score.place_in(at, &line.sections).to_string()
}

/// The moment whose place is told: of a note that starts just there, else in parts of a beat; finer
/// figures only flicker while playing.
fn told_place(study: &Study, quarters: f64) -> Quarters {
    let notes = &study.analysis().line.notes;
    let next = notes.partition_point(|note| note.onset.to_f64() < quarters - 1e-6);
    let onset = notes.get(next).map(|note| note.onset).filter(|at| (at.to_f64() - quarters).abs() < 1e-6);
    onset.unwrap_or_else(|| study.lesson().score.nearest_beat_part(quarters))
}

fn short(text: &str, most: usize) -> String {
    if text.chars().count() <= most {
        return text.to_owned();
    }
    text.chars().take(most - 1).chain(['…']).collect()
}

fn lesson_menu(ui: &mut Ui, input: &TopInput<'_>, commands: &mut Vec<Command>) {
    ui.menu_button("Lesson", |ui| {
        ui.set_min_width(260.0);
        for action in Action::iter().filter(|action| action.entry().group == Group::Lesson) {
            if action == Action::Report && input.files.report.is_empty() {
                continue;
            }
            if action == Action::Quit {
                ui.separator();
                recent_ui(ui, input.recent, commands);
                ui.separator();
            }
            let entry = action.entry();
            let key = entry.keys.first().map_or_else(String::new, |key| key_words(*key));
            let item = ui.add(Button::new(entry.words).shortcut_text(key));
            let item = if entry.tip.is_empty() { item } else { item.on_hover_text(entry.tip) };
            if item.clicked() {
                commands.push(Command::Do(action));
                ui.close();
            }
        }
    });
}

fn recent_ui(ui: &mut Ui, recent: &[PathBuf], commands: &mut Vec<Command>) {
    ui.weak(if recent.is_empty() { "No recent files" } else { "Recent files" });
    for path in recent {
        let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
        if ui.button(name).on_hover_text(path.display().to_string()).clicked() {
            commands.push(Command::Leave(Then::Open(path.clone())));
            ui.close();
        }
    }
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
    let button = Button::new(words).min_size(vec2(56.0, 0.0)).selected(playing);
    if ui.add(button).on_hover_text(Action::Play.entry().hover()).clicked() {
        commands.push(Command::Do(Action::Play));
    }
}

fn tempo(ui: &mut Ui, study: &Study, at: Quarters, with_slider: bool, commands: &mut Vec<Command>) {
    let lesson = study.lesson();
    let marked = study.analysis().line.tempo.qpm_at(at);
    let share = lesson.setup.tempo_share;
    let mut qpm = marked * share;
    let mut slid = qpm;
    ui.add(
        DragValue::new(&mut qpm)
            .range(marked * TEMPO_SHARE.0..=marked * TEMPO_SHARE.1)
            .speed(0.5)
            .fixed_decimals(0)
            // What is typed counts when it is whole: a 4 on the way to 40 is no tempo.
            .update_while_editing(false)
            .prefix("♩ = "),
    )
    .accessible_name("Practice tempo")
    .on_hover_text("Practice tempo in quarter notes a minute; click to type one");
    // As wide whatever it says, or the slider would move under the pointer that drags it.
    let said = if (share - 1.0).abs() < 1e-3 { "as marked".to_owned() } else { format!("of {marked:.0}") };
    let unit = ui.text_style_height(&TextStyle::Button) / 18.0;
    ui.add_sized([72.0 * unit, 20.0], Label::new(RichText::new(said).weak()));
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
        let share = new.clamp(TEMPO_SHARE.0, TEMPO_SHARE.1);
        let edit = move |lesson: &Lesson| change::set_tempo_share(lesson, share);
        commands.push(Command::drag(edit, gesture(ui, "tempo")));
    }
    if (share - 1.0).abs() > 1e-3 && ui.small_button("×1").on_hover_text("Back to the marked tempo").clicked()
    {
        commands.push(Command::edit(|lesson| change::set_tempo_share(lesson, 1.0)));
    }
}

/// Right to left: keys, theme, write, redo, undo.
fn right_side(ui: &mut Ui, input: &TopInput<'_>, commands: &mut Vec<Command>) {
    toggle(ui, Action::Keys, "? keys", false, commands);
    let look = input.now.look;
    let mut chosen = look;
    let combo = ComboBox::from_id_salt("theme").selected_text(look.words()).width(72.0).show_ui(ui, |ui| {
        for look in Look::iter() {
            ui.selectable_value(&mut chosen, look, look.words());
        }
    });
    combo.response.accessible_name("Theme").on_hover_text(Action::NextLook.entry().hover());
    if chosen != look {
        commands.push(Command::Look(chosen));
    }
    toggle(ui, Action::Write, "Write", input.view.writing, commands);
    let (undo, redo) = input.history.words();
    for (action, what) in [(Action::Redo, redo), (Action::Undo, undo)] {
        let entry = action.entry();
        let button = ui.add_enabled(what.is_some(), Button::new(entry.words));
        let hover = what.map_or_else(|| entry.hover(), |what| format!("{}: {what}", entry.hover()));
        if button.on_hover_text(hover).clicked() {
            commands.push(Command::Do(action));
        }
    }
}
