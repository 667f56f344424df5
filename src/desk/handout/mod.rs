//! The handout: its blocks as a list, and beside it the pages as they will be printed.

mod block;
mod fields;
mod list;
mod sheets;

use egui::{Panel, Ui};

use crate::{
    desk::{
        command::Command,
        state::{now::Now, view::View},
        widgets::painter::ScreenPainter,
        work::HandoutWork,
    },
    lesson::{change, handout::Handout},
};

/// What the panel reads.
pub struct HandoutInput<'a> {
    /// The study, and how it is shown.
    pub now: &'a Now,
    /// What is chosen.
    pub view: &'a View,
    /// The pages.
    pub work: &'a HandoutWork,
}

impl HandoutInput<'_> {
    fn handout(&self) -> &Handout {
        &self.now.lesson().handout
    }

    /// Asks for the handout to be another one, in one step.
    fn change(&self, what: &str, to: Handout, commands: &mut Vec<Command>) {
        let edit = change::set_handout(what, to);
        commands.push(Command::edit(move |_| Ok(edit)));
    }
}

/// What is open of the handout.
#[derive(Default)]
pub struct HandoutDesk {
    /// The block that is open, by its place.
    open: Option<usize>,
    /// What is being typed: the field, and its text, which the lesson follows.
    typing: Option<(egui::Id, String)>,
}

/// Part of the width for the blocks, and least width of them, points.
const LIST_PART: f32 = 0.38;
const LIST_LEAST: f32 = 330.0;

/// Draws blocks and pages.
pub fn handout_ui(
    ui: &mut Ui,
    input: &HandoutInput<'_>,
    desk: &mut HandoutDesk,
    painter: &mut ScreenPainter,
    commands: &mut Vec<Command>,
) {
    let width = (ui.available_width() * LIST_PART).max(LIST_LEAST);
    Panel::left("blocks").exact_size(width).resizable(false).show_separator_line(false).show(ui, |ui| {
        list::list_ui(ui, input, desk, commands);
    });
    sheets::sheets_ui(ui, input, painter);
}
