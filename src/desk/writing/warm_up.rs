//! The window with a warm-up for the piece.

use egui::{Context, DragValue, Grid, Key, Modal, Modifiers, Ui};

use crate::{
    analysis::Study,
    desk::{
        command::{Command, Making, Page},
        work::WarmUpWork,
    },
    practice::{MINUTES, USUAL_MINUTES, WarmUpPart, Warming, movement},
};

/// The window, when it is open.
pub struct WarmUpWindow {
    is_open: bool,
    /// The bar whose movement it is for.
    bar: usize,
    minutes: u8,
}

impl Default for WarmUpWindow {
    fn default() -> Self {
        Self { is_open: false, bar: 0, minutes: USUAL_MINUTES }
    }
}

impl WarmUpWindow {
    /// Opens the window for the movement of a bar, with the minutes that were chosen last.
    pub fn open(&mut self, bar: usize) {
        (self.is_open, self.bar) = (true, bar);
    }

    /// Closes it.
    pub fn close(&mut self) {
        self.is_open = false;
    }

    /// It waits for an answer.
    pub fn is_open(&self) -> bool {
        self.is_open
    }

    /// Shows the window.
    pub fn show(&mut self, ctx: &Context, study: &Study, work: &mut WarmUpWork, commands: &mut Vec<Command>) {
        if !self.is_open {
            return;
        }
        let mut closed = ctx.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Escape));
        Modal::new(egui::Id::unique("warm-up")).show(ctx, |ui| {
            ui.set_max_width(760.0);
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.heading("A warm-up for the piece");
            ui.add_space(4.0);
            ui.horizontal(|ui| {
                let label = ui.label("Minutes");
                for minutes in [5, 10, 15, 20, 30] {
                    ui.selectable_value(&mut self.minutes, minutes, minutes.to_string());
                }
                ui.label("or");
                ui.add(DragValue::new(&mut self.minutes).range(MINUTES)).labelled_by(label.id);
            });
            ui.add_space(4.0);
            match work.turn(study, (self.bar, self.minutes), ctx) {
                Some(parts) => closed |= parts_ui(ui, (study, self.bar), parts, commands),
                None => drop(ui.label("Putting it together…")),
            }
            ui.add_space(6.0);
            ui.weak("Without pressure at first. Stop when it hurts, and let the arm hang between the parts.");
            ui.add_space(6.0);
            ui.horizontal(|ui| {
                if ui.button("All of it on the handout").clicked() {
                    commands.push(Command::Page(Page::WarmUp(self.bar, self.minutes)));
                    closed = true;
                }
                closed |= ui.button("Close").clicked();
            });
        });
        self.is_open = !closed;
    }
}

/// The parts, each leading to its lesson; true when one was chosen.
fn parts_ui(
    ui: &mut Ui,
    (study, bar): (&Study, usize),
    parts: &[WarmUpPart],
    commands: &mut Vec<Command>,
) -> bool {
    let mut is_chosen = false;
    Grid::new("warm-up").num_columns(3).spacing([12.0, 6.0]).show(ui, |ui| {
        for part in parts {
            ui.label(part.time_words());
            let button = ui.button(part.words(study));
            if button.on_hover_text("As a lesson; a button leads back").clicked() {
                commands.push(Command::Make(making(study, bar, part.what)));
                is_chosen = true;
            }
            ui.weak(part.purpose());
            ui.end_row();
        }
    });
    is_chosen
}

fn making(study: &Study, bar: usize, what: Warming) -> Making {
    match what {
        Warming::Exercise(kind) => Making::Passage(movement(study, bar), kind),
        Warming::DoubleStop(note) => {
            let line = &study.analysis().line;
            let notes = line.note_of(note).map(|note| line.notes[note].notes.clone());
            Making::DoubleStops(Some(notes.and_then(|notes| notes.try_into().ok()).into_iter().collect()))
        }
    }
}
