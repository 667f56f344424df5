//! The window with the exercises that a passage gives.

use egui::{Context, Grid, Key, Modal, Modifiers, TextEdit};

use crate::{
    desk::command::{Command, Making},
    lesson::{
        Lesson, change,
        handout::{Block, Handout},
    },
    practice::Practised,
    score::sentence_case,
};

/// The window, when it is open.
#[derive(Default)]
pub struct ExercisesWindow {
    /// Bars as they are typed.
    bars: Option<String>,
}

impl ExercisesWindow {
    /// Opens the window; these bars are proposed.
    pub fn open(&mut self, bars: String) {
        self.bars = Some(bars);
    }

    /// It waits for an answer.
    pub fn is_open(&self) -> bool {
        self.bars.is_some()
    }

    /// Shows the window.
    pub fn show(&mut self, ctx: &Context, lesson: &Lesson, commands: &mut Vec<Command>) {
        let Some(bars) = &mut self.bars else { return };
        let mut closed = ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
        Modal::new(egui::Id::unique("exercises")).show(ctx, |ui| {
            ui.set_max_width(760.0);
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.heading("Exercises from the passage");
            ui.add_space(4.0);
            ui.horizontal(|ui| {
                let label = ui.label("Bars");
                ui.add(TextEdit::singleline(bars).desired_width(120.0)).labelled_by(label.id);
            });
            let named = lesson.score.bars_named(bars.trim());
            if let Err(why) = &named {
                ui.colored_label(ui.visuals().warn_fg_color, sentence_case(&why.to_string()));
            }
            ui.add_space(4.0);
            let named = named.ok();
            ui.add_enabled_ui(named.is_some(), |ui| {
                Grid::new("exercises").num_columns(3).spacing([12.0, 6.0]).show(ui, |ui| {
                    for kind in Practised::of_passage() {
                        let words = sentence_case(kind.words());
                        if ui.button(&words).on_hover_text("As a lesson; a button leads back").clicked()
                            && let Some(bars) = &named
                        {
                            commands.push(Command::Make(Making::Passage(bars.clone(), kind)));
                            closed = true;
                        }
                        let handout = ui.button("On the handout");
                        if handout.on_hover_text(format!("{words}, for the pupil")).clicked() {
                            let practised = kind.id().to_owned();
                            let block = Block::Exercise { bars: bars.trim().to_owned(), practised };
                            let made = Handout { entries: vec![block.into()], ..Handout::default() };
                            commands
                                .push(Command::edit(move |lesson| Ok(change::add_to_handout(lesson, made))));
                        }
                        ui.weak(kind.purpose());
                        ui.end_row();
                    }
                });
            });
            ui.add_space(6.0);
            closed |= ui.button("Close").clicked();
        });
        if closed {
            self.bars = None;
        }
    }
}
