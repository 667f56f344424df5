//! The line at the foot: what takes the place of the bow, messages, the most used keys.

use egui::{Align, Label, Layout, ProgressBar, RichText, Ui};

use strum::IntoEnumIterator as _;

use crate::desk::{
    command::{Action, Command, buttons::toggle},
    state::{
        files::Then,
        view::{Drawer, Stage},
    },
};

use super::Desk;

impl Desk {
    /// Draws the line.
    pub(super) fn foot_ui(&self, ui: &mut Ui, now_s: f64, commands: &mut Vec<Command>) {
        ui.horizontal(|ui| {
            let mut button = |action: Action, on| toggle(ui, action, action.entry().words, on, commands);
            for drawer in Drawer::iter() {
                button(action_for(drawer), self.view.drawer == Some(drawer));
            }
            button(Action::Together, self.view.stage == Stage::Together);
            button(Action::Handout, self.view.stage == Stage::Handout);
            button(Action::KeepVersion, self.kept.is_some());
            if let Some((before, ..)) = self.before.last() {
                let words = match before.lesson().score.title.trim() {
                    "" => "Back to the lesson before".to_owned(),
                    title => format!("Back to {title}"),
                };
                if ui.button(words).clicked() {
                    commands.push(Command::Leave(Then::Back));
                }
            }
            if let Some(path) = self.tasks.reading() {
                let name = path.file_name().unwrap_or_default().to_string_lossy();
                ui.label(format!("Reading {name}…"));
                if ui.button("Stop reading").clicked() {
                    commands.push(Command::StopReading);
                }
            }
            if let Some(part) = self.tasks.film_part() {
                ui.add(ProgressBar::new(part).desired_width(90.0).text("Film"));
                if ui.button("Stop the film").clicked() {
                    commands.push(Command::StopFilm);
                }
            }
            if let Some(part) = self.tasks.track_part() {
                ui.label(format!("Writing the practice track, {:.0} %", 100.0 * part));
                if ui.button("Stop writing").clicked() {
                    commands.push(Command::StopTrack);
                }
            }
            let making = self.underway.as_ref().and_then(|making| making.words(now_s, ui.ctx()));
            if let Some(words) = making.or_else(|| self.work.analysing.words(now_s, ui.ctx())) {
                ui.label(words);
            }
            let message = self.view.message.as_deref();
            ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
                if message.is_none() {
                    let keys =
                        "arrows step · space plays · J next finding · S slur · B turn the bow · ? all keys";
                    ui.add(Label::new(RichText::new(keys).weak()).truncate());
                }
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                    if let Some(message) = message {
                        ui.add(Label::new(RichText::new(message).strong()).truncate());
                    }
                });
            });
        });
    }
}

/// What opens a drawer.
fn action_for(drawer: Drawer) -> Action {
    match drawer {
        Drawer::Suggest => Action::Suggest,
        Drawer::Ladder => Action::Ladder,
        Drawer::Curves => Action::Curves,
    }
}
