//! The bar at the top: what is played, where, how fast, and the commands that belong to no note.

use std::path::PathBuf;

use egui::{
    Align, Button, Color32, ComboBox, DragValue, Label, Layout, RichText, Slider, TextStyle, Ui, vec2,
};
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
/// And from which it tells of the player too.
const WIDER: f32 = 1330.0;

/// What title, part and player each have at least where they are long, and what title and part need together for
/// the part to be named, points at the ordinary size of type.
const LEAST: f32 = 64.0;
const WITH_PART: f32 = 200.0;

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
    ui.style_mut().override_text_style = Some(TextStyle::Button);
    // What a narrow window has no room for is also in the menu or has a key.
    let unit = ui.text_style_height(&TextStyle::Button) / 18.0;
    let room = ui.available_width() / unit;
    // As high as the title, so that all in the row is centred on it.
    ui.spacing_mut().interact_size.y = ui.text_style_height(&TextStyle::Heading) + 4.0;
    // Title, part and player have what all else leaves, which is known from the last drawing.
    let known = ui.scope_id().with("all else");
    let all_else: f32 = ui.data(|data| data.get_temp(known)).unwrap_or(0.75 * ui.available_width());
    ui.horizontal(|ui| {
        let left = ui.max_rect().left();
        let wide = ui.available_width();
        lesson_menu(ui, input, commands);
        let names = Names::of(ui, input, room > WIDER, wide - all_else, unit);
        let mut named = title_ui(ui, input, &names);
        named += player(ui, &names, commands);
        ui.separator();
        play(ui, input.view, commands);
        toggle(ui, Action::PlaySettings, "Sound", input.is_heard, commands);
        let (study, quarters) = (&input.now.study, input.now.quarters());
        let plays = input.view.clock.is_playing();
        let at = if plays { beat_begun(study, quarters) } else { told_place(study, quarters) };
        let words = place_words(study, at);
        let own = if plays { 0.0 } else { text_width(ui, &words, TextStyle::Button) };
        ui.add_sized([own.max(place_width(ui, study)), 20.0], Label::new(words));
        ui.separator();
        tempo(ui, study, at, room > WIDE, commands);
        let looped = input.view.clock.span().is_some();
        let words = input.round.unwrap_or(if looped { "Loop on" } else { "Loop" });
        toggle(ui, Action::Loop, words, looped, commands);
        repeats(ui, input.view, input.now_s, commands);
        let used = ui.cursor().left() - left;
        let right = ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            right_side(ui, input, commands);
            ui.min_rect().width()
        });
        let now = used + right.inner - named;
        if (now - all_else).abs() > 0.5 {
            ui.data_mut(|data| data.insert_temp(known, now));
            ui.ctx().request_discard("the bar at the top has other things in it");
        }
    });
}

/// The words at the left, with the width that each of them has, points.
struct Names {
    title: (String, f32),
    /// Empty where there is no room for it, or the title says it.
    part: (String, f32),
    player: (String, f32),
}

impl Names {
    /// What goes into a width.
    fn of(ui: &Ui, input: &TopInput<'_>, in_full: bool, room: f32, unit: f32) -> Self {
        let lesson = input.now.lesson();
        let title = match lesson.score.title.trim() {
            "" => "Untitled",
            title => title,
        };
        let part = Some(lesson.score.part.trim()).filter(|part| !title.contains(part)).unwrap_or_default();
        let setup = &lesson.setup;
        let family = setup.instrument.family.word();
        let player = if in_full {
            format!("{family} {} · {}", setup.instrument.size, setup.player.name)
        } else {
            family.to_owned()
        };
        let wide = |words: &str, style: TextStyle| text_width(ui, words, style).ceil() + 1.0;
        let gap = ui.spacing().item_spacing.x;
        let title_wide = wide(title, TextStyle::Heading);
        let part_wide = if part.is_empty() { 0.0 } else { wide(part, TextStyle::Button) + gap };
        let player_wide = wide(&player, TextStyle::Button);
        // The player has what the title leaves, and two fifths of the room in any case; the part a third of the rest.
        let least = LEAST * unit;
        let for_player = player_wide.min((room - title_wide - part_wide).max(0.4 * room).max(least));
        let rest = (room - for_player).max(least);
        let is_named = !part.is_empty() && rest >= WITH_PART * unit;
        let for_part = if is_named { part_wide.min((rest - title_wide).max(rest / 3.0)) } else { 0.0 };
        let part = if is_named { part } else { "" };
        Self {
            title: (title.to_owned(), title_wide.min(rest - for_part)),
            part: (part.to_owned(), for_part - gap),
            player: (player, for_player),
        }
    }
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

/// The title, the part, and a dot when not all is saved; gives the width that title and part take.
fn title_ui(ui: &mut Ui, input: &TopInput<'_>, names: &Names) -> f32 {
    let (title, room) = &names.title;
    let label = Label::new(RichText::new(title).heading());
    let label = within(ui, *room, |ui| ui.add(label.truncate().show_tooltip_when_elided(false)));
    let mut wide = label.rect.width();
    label.on_hover_text(format!("{title}\n{}", input.now.lesson().score.part));
    let (part, room) = &names.part;
    if !part.is_empty() {
        let label = within(ui, *room, |ui| ui.add(Label::new(RichText::new(part).weak()).truncate()));
        wide += label.rect.width() + ui.spacing().item_spacing.x;
    }
    // Its room stays, or the first change would move the slider of the tempo under the pointer that drags it.
    if input.history.is_unsaved() {
        ui.label("•").on_hover_text("There are changes that are not saved");
    } else {
        ui.allocate_space(vec2(text_width(ui, "•", TextStyle::Button), 1.0));
    }
    wide
}

fn text_width(ui: &Ui, words: &str, style: TextStyle) -> f32 {
    let font = style.resolve(ui.style());
    ui.painter().layout_no_wrap(words.to_owned(), font, Color32::PLACEHOLDER).size().x
}

/// What is drawn in a row and takes at most this width.
fn within<T>(ui: &mut Ui, wide: f32, add: impl FnOnce(&mut Ui) -> T) -> T {
    ui.scope(|ui| {
        ui.set_max_width(wide);
        add(ui)
    })
    .inner
}

/// The end is the last beat done, not a beat beyond the bar.
fn place_words(study: &Study, at: Quarters) -> String {
    let line = &study.analysis().line;
    if at >= line.end && line.end > Quarters::ZERO {
        return "the end".to_owned();
    }
    study.lesson().score.place_in(at, &line.sections).to_string()
}

/// The beat in which a moment lies: nobody reads a finer place while it plays.
fn beat_begun(study: &Study, quarters: f64) -> Quarters {
    let score = &study.lesson().score;
    let bar = score.bar_at(Quarters::from_f64(quarters)).map(|bar| &score.bars[bar]);
    let Some(bar) = bar else { return told_place(study, quarters) };
    let beat = bar.time.beat();
    let beats = (quarters - bar.start.to_f64()) / beat.to_f64();
    bar.start + beat * Quarters::from((beats + 1e-6).floor() as i64)
}

/// How wide the place of a beat is at most, so that nothing beside it moves while it plays.
fn place_width(ui: &Ui, study: &Study) -> f32 {
    let bars = &study.lesson().score.bars;
    let last = study.lesson().score.bar_name(bars.len().saturating_sub(1), &study.analysis().line.sections);
    text_width(ui, &format!("{}, beat 12", last.words()), TextStyle::Button).ceil() + 1.0
}

/// The moment whose place is told: of a note that starts just there, else in parts of a beat; finer
/// figures only flicker while playing.
fn told_place(study: &Study, quarters: f64) -> Quarters {
    let notes = &study.analysis().line.notes;
    let next = notes.partition_point(|note| note.onset.to_f64() < quarters - 1e-6);
    let onset = notes.get(next).map(|note| note.onset).filter(|at| (at.to_f64() - quarters).abs() < 1e-6);
    onset.unwrap_or_else(|| study.lesson().score.nearest_beat_part(quarters))
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

/// The button of instrument and player; gives the width of its words.
fn player(ui: &mut Ui, names: &Names, commands: &mut Vec<Command>) -> f32 {
    let (words, room) = &names.player;
    let entry = Action::Setup.entry();
    let frame = 2.0 * ui.spacing().button_padding.x;
    let button = within(ui, room + frame, |ui| ui.add(Button::new(words).truncate()));
    let wide = button.rect.width() - frame;
    if button.on_hover_text(entry.hover()).clicked() {
        commands.push(Command::Do(Action::Setup));
    }
    wide
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
    let unit = ui.text_style_height(&TextStyle::Button) / 18.0;
    let field = DragValue::new(&mut qpm)
        .range(marked * TEMPO_SHARE.0..=marked * TEMPO_SHARE.1)
        .speed(0.5)
        .fixed_decimals(0)
        // What is typed counts when it is whole: a 4 on the way to 40 is no tempo.
        .update_while_editing(false)
        .prefix("♩ = ");
    // All as wide whatever it says, or the slider would move under the pointer that drags it.
    let high = ui.spacing().interact_size.y;
    ui.add_sized([60.0 * unit, high], field)
        .accessible_name("Practice tempo")
        .on_hover_text("Practice tempo in quarter notes a minute; click to type one");
    let beside = vec2(72.0 * unit, high);
    if (share - 1.0).abs() < 1e-3 {
        ui.add_sized(beside, Label::new(RichText::new("as marked").weak()).selectable(false));
    } else if ui
        .add_sized(beside, Button::new(format!("of {marked:.0}")))
        .on_hover_text("Back to the marked tempo")
        .clicked()
    {
        commands.push(Command::edit(|lesson| change::set_tempo_share(lesson, 1.0)));
    }
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
