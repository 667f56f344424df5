//! The window with all keys.

use egui::{Align2, Context, Grid, Ui, Window};

use crate::desk::{
    command::{Action, Group, TABLE, key_words},
    widgets::theme::bold,
};

/// The list of all keys, from the table of commands.
pub fn keys_ui(ctx: &Context, open: &mut bool) {
    Window::new("All keys").open(open).resizable(false).collapsible(false).anchor(Align2::CENTER_CENTER, [0.0, 0.0]).show(
        ctx,
        |ui| {
            // Read by the hand at the machine, not from the back of a room.
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.horizontal_top(|ui| {
                for groups in [&Group::ALL[..1], &Group::ALL[1..3], &Group::ALL[3..]] {
                    ui.vertical(|ui| {
                        for group in groups {
                            group_ui(ui, *group);
                        }
                    });
                    ui.add_space(12.0);
                }
            });
            ui.weak("On the staff: click a note, Shift+click or drag for several. On the hair map: drag a point to fix its place. The wheel turns on, Ctrl+wheel stretches.");
        },
    );
}

fn group_ui(ui: &mut Ui, group: Group) {
    ui.label(bold(group.words()));
    Grid::new(("keys", group.words())).num_columns(2).spacing([14.0, 2.0]).show(ui, |ui| {
        for entry in TABLE.iter().filter(|entry| entry.group == group && !entry.keys.is_empty()) {
            let (keys, words) = match entry.action {
                // Seven alike are one line.
                Action::Level(1) => ("1 to 7".to_owned(), "Show a level"),
                Action::HoldLevel(1) => ("Shift+1 to 7".to_owned(), "Hold a level against it"),
                Action::Level(_) | Action::HoldLevel(_) => continue,
                _ => (key_words(entry.keys[0]), entry.words),
            };
            ui.label(keys);
            ui.label(words);
            ui.end_row();
        }
    });
    ui.add_space(8.0);
}
