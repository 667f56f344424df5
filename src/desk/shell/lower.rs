//! What lies under the music: the controls of the selection and the bow, or what takes their place,
//! and the line at the foot.

use egui::{Frame, Margin, Panel, Stroke, Ui};

use crate::{analysis::BowState, picture::Ink};

use crate::desk::{
    Desk,
    bowing::bow,
    bowing::inspector,
    bowing::suggest::{self, SuggestInput},
    command::{Action, Command},
    file::windows::Then,
    state::offer::Offer,
    state::view::{Drawer, Stage},
    tempo::ladder::{self, LadderInput},
    widgets::painter::colour,
    work::remedies::About,
};

impl Desk {
    /// The line at the foot: what takes the place of the bow, messages, the most used keys.
    pub(in crate::desk) fn foot_ui(&self, ui: &mut Ui, commands: &mut Vec<Command>) {
        ui.horizontal(|ui| {
            for (action, on) in [
                (Action::Suggest, self.view.drawer == Some(Drawer::Suggest)),
                (Action::Ladder, self.view.drawer == Some(Drawer::Ladder)),
                (Action::Together, self.view.stage == Stage::Together),
                (Action::KeepVersion, self.kept.is_some()),
            ] {
                let entry = action.entry();
                let button = egui::Button::new(entry.words).selected(on);
                if ui.add(button).on_hover_text(entry.hover()).clicked() {
                    commands.push(Command::Do(action));
                }
            }
            if let Some((before, _)) = self.before.last() {
                let words = match before.lesson().score.title.trim() {
                    "" => "Back to the lesson before".to_owned(),
                    title => format!("Back to {title}"),
                };
                if ui.button(words).clicked() {
                    commands.push(Command::Leave(Then::Back));
                }
            }
            let working = self.tasks.is_busy().then_some("Working on a file…");
            let message = self.view.message.as_deref().or(working);
            ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
                if message.is_none() {
                    ui.weak(
                        "arrows step · space plays · J next finding · S slur · B turn the bow · ? all keys",
                    );
                }
                ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                    if let Some(message) = message {
                        ui.add(egui::Label::new(egui::RichText::new(message).strong()).truncate());
                    }
                });
            });
        });
    }

    /// The controls of the selection and the bow.
    pub(in crate::desk) fn lower_ui(
        &mut self,
        ui: &mut Ui,
        bow: &BowState,
        ppm: f32,
        commands: &mut Vec<Command>,
    ) {
        let look = self.memory.look;
        let bar =
            |fill: Ink, margin: Margin| Frame::new().fill(colour(look.theme(), fill)).inner_margin(margin);
        Panel::bottom("bow").frame(bar(Ink::Panel, Margin::symmetric(12, 6))).show(ui, |ui| {
            bow::bow_ui(ui, (self.history.lesson(), &self.analysis), bow, &mut self.painter, look, ppm);
        });
        let strip = bar(Ink::Paper, Margin::symmetric(12, 5)).stroke(Stroke::NONE);
        Panel::bottom("inspector").frame(strip).show_separator_line(false).show(ui, |ui| {
            // The height stays the same whatever is selected, or the music above would jump.
            let rows = if self.view.writing { 4.0 } else { 2.0 };
            ui.set_min_height(rows * (ui.spacing().interact_size.y + ui.spacing().item_spacing.y));
            if self.view.writing {
                self.entry.strip_ui(ui, commands);
            }
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            inspector::inspector_ui(ui, self.history.lesson(), &self.analysis, &self.view, commands);
        });
    }

    /// What takes the place of the bow; gives the suggestion that is pointed at.
    pub(in crate::desk) fn drawer_ui(
        &mut self,
        ui: &mut Ui,
        drawer: Drawer,
        position: f64,
        points_per_mm: f32,
        commands: &mut Vec<Command>,
    ) -> Option<usize> {
        let look = self.memory.look;
        let lesson = self.history.lesson();
        match drawer {
            Drawer::Suggest => {
                let about = About { generation: self.generation, lesson, analysis: &self.analysis };
                let picked = match self.view.offer {
                    Some(Offer::Suggestion(index)) => Some(index),
                    _ => None,
                };
                let chosen = &self.view.selection;
                let input = SuggestInput { about, chosen, picked, look, points_per_mm };
                suggest::suggest_ui(ui, &input, &mut self.suggest, &mut self.painter, commands)
            }
            Drawer::Ladder => {
                let now_quarters = self.analysis.quarters_at(position);
                let input = LadderInput { lesson, now_quarters, look, points_per_mm };
                ladder::ladder_ui(ui, &input, &mut self.ladder, &mut self.painter, commands);
                None
            }
        }
    }
}
