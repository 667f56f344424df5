//! The lines under the staff while notes are written: what comes next, and what each key does now.

use egui::{Button, Key, Modifiers, TextEdit, Ui};

use crate::{
    desk::{
        command::{
            Command,
            chord::key_words,
            write::{Said, Side, Wait, WriteKey},
        },
        widgets::theme::bold,
    },
    lesson::Lesson,
    score::{Quarters, mixed_number},
};

use super::typing::{Asked, Writing};

/// Draws the lines. `caret` is where the next note comes.
pub fn strip_ui(
    ui: &mut Ui,
    writing: &mut Writing,
    lesson: &Lesson,
    caret: Quarters,
    commands: &mut Vec<Command>,
) {
    ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
    (ui.spacing_mut().item_spacing.x, ui.spacing_mut().button_padding) = (4.0, egui::vec2(5.0, 1.0));
    ui.horizontal_wrapped(|ui| {
        ui.label(bold("Write"));
        ui.label(next_words(writing, lesson, caret));
        for words in open_words(writing, lesson) {
            ui.separator();
            ui.label(words);
        }
    });
    if writing.asked.is_some() {
        return asked_ui(ui, writing, commands);
    }
    ui.horizontal_wrapped(|ui| {
        match writing.wait {
            Wait::No => {
                ui.weak("A to G note");
            }
            Wait::Second(side) => {
                let side = if side == Side::Over { "over" } else { "under" };
                ui.label(format!("A to G: the note that sounds {side} the last one"));
            }
            Wait::Mark => {
                ui.label("On the last note:");
            }
            Wait::Number => {
                ui.label("How many notes has a group? 2 to 9 (5 in the time of 4, 7 in the time of 4)");
            }
        }
        for entry in writing.wait.keys().iter().filter(|entry| !entry.words.is_empty()) {
            let key = entry.chords.first().map_or_else(String::new, |chord| key_words(*chord));
            let on = match entry.key {
                WriteKey::Value(log2_whole) => writing.value.log2_whole == log2_whole,
                WriteKey::Dot => writing.value.dots > 0,
                WriteKey::Triplet => writing.group.is_some(),
                WriteKey::Over => writing.over,
                WriteKey::Slur => writing.slur.is_some(),
                WriteKey::Hairpin => writing.hairpin.is_some(),
                WriteKey::OctaveLine => writing.octaves.is_some(),
                _ => false,
            };
            if ui.add(Button::new(format!("{key}  {}", entry.words)).selected(on)).clicked() {
                commands.push(Command::Write(entry.key));
            }
        }
        ui.weak(match writing.wait {
            Wait::No => {
                "· up and down arrows move the last note, Page up and down by octaves · Esc ends writing"
            }
            _ => "· Esc: never mind",
        });
    });
}

/// Where the caret stands and what comes there.
fn next_words(writing: &Writing, lesson: &Lesson, caret: Quarters) -> String {
    let place = if caret >= lesson.score.end() {
        "a new bar".to_owned()
    } else {
        lesson.score.place(caret).to_string()
    };
    let how = if writing.over { "over what is there" } else { "later notes move on" };
    let group = match writing.group {
        Some(group) if group.stays => {
            format!(", {} in the time of {} until T again", group.numbers.0, group.numbers.1)
        }
        Some(group) => format!(", {} more in this group", mixed_number(group.to_come())),
        None => String::new(),
    };
    format!("at {place}: {}{group}; {how}", writing.next_value().words())
}

/// What is open.
fn open_words(writing: &Writing, lesson: &Lesson) -> Vec<String> {
    let from = |id| lesson.score.event(id).map(|event| lesson.score.place(event.onset).to_string());
    let slur = writing.slur.and_then(from).map(|place| format!("slur from {place}, S ends it"));
    let hairpin = writing.hairpin.and_then(|(id, opens)| {
        let kind = if opens { "opening" } else { "closing" };
        from(id).map(|place| format!("{kind} hairpin from {place}; H turns it round, after notes ends it"))
    });
    let octaves = writing.octaves.and_then(|(id, octaves)| {
        let sign = if octaves > 0 { "8va" } else { "8vb" };
        from(id).map(|place| format!("{sign} from {place}; V turns it round, after notes ends it"))
    });
    slur.into_iter().chain(hairpin).chain(octaves).collect()
}

/// The field for what is said in words.
fn asked_ui(ui: &mut Ui, writing: &mut Writing, commands: &mut Vec<Command>) {
    let Some(Asked { what, text, begun }) = &mut writing.asked else { return };
    let mut answered = None;
    let mut given_up = ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
    ui.horizontal(|ui| {
        let (name, hint) = match what {
            Said::Dynamic => ("Loudness at the last note", "ppp to fff, sf, fp; empty takes it away"),
            Said::Words => ("Words at the last note", "dolce, pizz., arco …; empty takes them away"),
        };
        let label = ui.label(name);
        let field = ui.add(TextEdit::singleline(text).desired_width(160.0)).labelled_by(label.id);
        if field.lost_focus() {
            let enter = ui.input(|input| input.key_pressed(Key::Enter));
            answered = enter.then(|| text.clone());
            given_up |= !enter;
        }
        if !std::mem::replace(begun, true) {
            field.request_focus();
        }
        ui.weak(format!("{hint} · Enter writes it, Esc: never mind"));
    });
    let what = *what;
    if answered.is_some() || given_up {
        writing.asked = None;
    }
    commands.extend(answered.map(|text| Command::Say(what, text)));
}
