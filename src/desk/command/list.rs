//! The window with all keys.

use egui::{Align2, Context, Grid, Ui, Window};

use strum::IntoEnumIterator as _;

use crate::desk::widgets::theme::bold;

use super::{Action, Group, LevelKey, chord::key_words};

/// The list of all keys, from the table of commands.
pub fn keys_ui(ctx: &Context, open: &mut bool) {
    Window::new("All keys").open(open).resizable(false).collapsible(false).anchor(Align2::CENTER_CENTER, [0.0, 0.0]).show(
        ctx,
        |ui| {
            // Read by the hand at the machine, not from the back of a room.
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.horizontal_top(|ui| {
                for column in 0..COLUMNS {
                    ui.vertical(|ui| {
                        for group in Group::iter().filter(|group| column_of(*group) == column) {
                            group_ui(ui, group);
                        }
                    });
                    ui.add_space(12.0);
                }
            });
            ui.weak("On the staff: click a note, Shift+click or drag for several. On the hair map: drag a point to fix its place. The wheel turns on, Ctrl+wheel stretches.");
        },
    );
}

/// Columns of the list.
const COLUMNS: usize = 3;

fn column_of(group: Group) -> usize {
    match group {
        Group::Play => 0,
        Group::Bow | Group::Edit => 1,
        Group::View | Group::Lesson => 2,
    }
}

fn group_ui(ui: &mut Ui, group: Group) {
    ui.label(bold(group.words()));
    Grid::new(("keys", group.words())).num_columns(2).spacing([14.0, 2.0]).show(ui, |ui| {
        // Seven alike are one line.
        for action in Action::iter().filter(|action| action.entry().group == group) {
            let entry = action.entry();
            let Some(key) = entry.keys.first() else { continue };
            let (keys, words) = match action {
                Action::Level(LevelKey::First) => ("1 to 7".to_owned(), "Show a level"),
                Action::HoldLevel(LevelKey::First) => ("Shift+1 to 7".to_owned(), "Hold a level against it"),
                _ => (key_words(*key), entry.words),
            };
            ui.label(keys);
            ui.label(words);
            ui.end_row();
        }
    });
    ui.add_space(8.0);
}
