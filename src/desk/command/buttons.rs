//! Buttons for commands.

use egui::{Button, Ui};

use super::{Action, Command};

/// A button for a command.
pub fn button(ui: &mut Ui, action: Action, commands: &mut Vec<Command>) {
    let entry = action.entry();
    if ui.button(entry.words).on_hover_text(entry.hover()).clicked() {
        commands.push(Command::Do(action));
    }
}

/// A button for a command, with words of its own, that shows whether something is on.
pub fn toggle(ui: &mut Ui, action: Action, words: &str, on: bool, commands: &mut Vec<Command>) {
    let button = ui.add(Button::new(words).selected(on));
    if button.on_hover_text(action.entry().hover()).clicked() {
        commands.push(Command::Do(action));
    }
}

/// The button that gives the room back to the bow.
pub fn close_ui(ui: &mut Ui, commands: &mut Vec<Command>) {
    if ui.button("Close").on_hover_text("Back to the bow (Esc)").clicked() {
        commands.push(Command::CloseDrawer);
    }
}
