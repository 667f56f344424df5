//! The window with what sounds, how it is counted in, and how the rounds of a loop go.

use egui::{Button, ComboBox, Context, DragValue, Grid, Slider, Ui, Window};

use crate::{
    analysis::Study,
    desk::{
        command::{Action, Command},
        state::playing::{COUNT_IN, EACH, FIRST_PERCENT, LATE_MS, Playing, STEP_PERCENT},
    },
    score::{Pitch, Quarters},
    sound::{A4_HZ, Beats, Temper, Wishes},
};

/// Notes that the drone can have, by their MIDI numbers: from the lowest string of the bass to the highest of
/// the violin.
const DRONES: std::ops::RangeInclusive<u8> = 28..=76;

/// What the window reads.
pub struct SettingsInput<'a> {
    /// The lesson on the desk.
    pub study: &'a Study,
    /// How it is played now.
    pub playing: &'a Playing,
    /// Why nothing can be heard, where that is so.
    pub silent: Option<&'a str>,
    /// What a practice track would hold.
    pub track: &'a str,
}

/// The window.
#[derive(Default)]
pub struct PlaySettings {
    /// It is open.
    pub is_open: bool,
}

impl PlaySettings {
    /// Shows the window, when it is open.
    pub fn show(&mut self, ctx: &Context, input: &SettingsInput<'_>, commands: &mut Vec<Command>) {
        let window =
            Window::new("Sound and counting").open(&mut self.is_open).resizable(false).collapsible(false);
        window.default_pos([460.0, 60.0]).show(ctx, |ui| {
            // Read by the hand at the machine.
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            let mut playing = input.playing.clone();
            contents(ui, input, &mut playing, commands);
            if playing != *input.playing {
                commands.push(Command::Playing(Box::new(playing)));
            }
        });
    }
}

fn contents(ui: &mut Ui, input: &SettingsInput<'_>, playing: &mut Playing, commands: &mut Vec<Command>) {
    ui.horizontal(|ui| {
        let hover = Action::Sound.entry().hover();
        ui.checkbox(&mut playing.is_heard, "Sound").on_hover_text(hover);
        if let Some(why) = input.silent {
            ui.weak(why);
        }
    });
    ui.add_enabled_ui(playing.is_heard, |ui| {
        Grid::new("sound").num_columns(3).spacing([12.0, 6.0]).show(ui, |ui| sound_rows(ui, input, playing));
    });
    ui.separator();
    Grid::new("counting")
        .num_columns(2)
        .spacing([12.0, 6.0])
        .show(ui, |ui| counting_rows(ui, input, playing));
    ui.separator();
    ui.horizontal(|ui| {
        let entry = Action::SaveTrack.entry();
        if ui.add(Button::new(entry.words)).on_hover_text(entry.hover()).clicked() {
            commands.push(Command::Do(Action::SaveTrack));
        }
        ui.weak(input.track);
    });
}

fn sound_rows(ui: &mut Ui, input: &SettingsInput<'_>, playing: &mut Playing) {
    let wishes = &mut playing.wishes;
    volume(ui, "Click", &mut wishes.click);
    let beats = ComboBox::from_id_salt("beats").selected_text(wishes.beats.words());
    let beats = beats.show_ui(ui, |ui| {
        for beats in Beats::ALL {
            ui.selectable_value(&mut wishes.beats, *beats, beats.words());
        }
    });
    beats.response.accessible_name("What clicks");
    ui.end_row();

    volume(ui, "Tones", &mut wishes.tone);
    ui.horizontal(|ui| {
        let label = ui.label("A =");
        let hz = DragValue::new(&mut wishes.a4_hz).range(A4_HZ.0 as u16..=A4_HZ.1 as u16).speed(0.1).suffix(" Hz");
        ui.add(hz).labelled_by(label.id).on_hover_text("Tuning note A4; click to type it");
        let temper = ComboBox::from_id_salt("temperament").width(84.0).selected_text(wishes.temper.words());
        let temper = temper.show_ui(ui, |ui| {
            for temper in Temper::ALL {
                ui.selectable_value(&mut wishes.temper, *temper, temper.words());
            }
        });
        temper.response.accessible_name("Temperament").on_hover_text(
            "Equal half steps; pure thirds and fifths over the first note of the key; or fifths as open strings have them",
        );
    });
    ui.end_row();

    volume(ui, "Drone", &mut wishes.drone);
    ui.horizontal(|ui| {
        ui.checkbox(&mut wishes.is_droning, "on").on_hover_text(Action::Drone.entry().hover());
        let key = input.study.lesson().score.bars.first().map_or(0, |bar| bar.key);
        let of_key =
            format!("key, {}", Wishes { drone_midi: None, ..wishes.clone() }.drone_pitch(input.study).name());
        let name = |midi: u8| Pitch::in_key(i32::from(midi), key).name();
        let shown = wishes.drone_midi.map_or_else(|| of_key.clone(), name);
        let notes = ComboBox::from_id_salt("drone").width(84.0).selected_text(shown).height(280.0);
        let notes = notes.show_ui(ui, |ui| {
            ui.selectable_value(&mut wishes.drone_midi, None, of_key);
            for midi in DRONES {
                ui.selectable_value(&mut wishes.drone_midi, Some(midi), name(midi));
            }
        });
        notes.response.accessible_name("Note of the drone");
    });
    ui.end_row();

    let label = ui.label("Device late");
    let late = DragValue::new(&mut playing.late_ms).range(0..=LATE_MS).speed(1.0).suffix(" ms");
    ui.add(late).labelled_by(label.id).on_hover_text(
        "How much later a wireless loudspeaker is heard; set it so that the bow turns when you hear it turn",
    );
    ui.end_row();
}

fn volume(ui: &mut Ui, name: &str, percent: &mut u8) {
    let label = ui.label(name);
    ui.add(Slider::new(percent, 0..=100).suffix(" %")).labelled_by(label.id);
}

fn counting_rows(ui: &mut Ui, input: &SettingsInput<'_>, playing: &mut Playing) {
    ui.label("Count in");
    ui.horizontal(|ui| {
        for bars in 0..=COUNT_IN {
            ui.selectable_value(&mut playing.count_in, bars, count_words(bars));
        }
    });
    ui.end_row();
    ui.label("Loop");
    ui.checkbox(&mut playing.rests, "a bar of rest before each round");
    ui.end_row();
    ui.label("");
    ui.horizontal(|ui| {
        ui.checkbox(&mut playing.grows, "a little faster each round")
            .on_hover_text(Action::Faster.entry().hover());
    });
    ui.end_row();
    ui.label("");
    ui.add_enabled_ui(playing.grows, |ui| {
        ui.horizontal(|ui| {
            let goal = practice_qpm(input.study);
            ui.label("from");
            ui.add(percent(&mut playing.first, FIRST_PERCENT)).accessible_name("First tempo");
            ui.label(format!("(♩ = {:.0}) by", goal * f64::from(playing.first) / 100.0));
            ui.add(percent(&mut playing.step, STEP_PERCENT)).accessible_name("Step of tempo");
            ui.label(format!("to ♩ = {goal:.0},"));
            let each = DragValue::new(&mut playing.each).range(EACH.0..=EACH.1).speed(0.1);
            ui.add(each).accessible_name("Rounds at each tempo");
            ui.label(if playing.each == 1 { "time each" } else { "times each" });
        });
    });
    ui.end_row();
}

fn percent(value: &mut u8, (least, most): (u8, u8)) -> DragValue<'_> {
    DragValue::new(value).range(least..=most).speed(0.2).suffix(" %")
}

/// Bars that are counted, in words.
pub fn count_words(bars: u8) -> &'static str {
    match bars {
        0 => "nothing",
        1 => "one bar",
        _ => "two bars",
    }
}

/// The practice tempo at the start, quarter notes a minute.
pub fn practice_qpm(study: &Study) -> f64 {
    study.analysis().line.tempo.qpm_at(Quarters::ZERO) * study.analysis().bowing.tempo_share
}
