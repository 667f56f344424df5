//! The window with all keys, and those of writing; what is typed into it leaves those that have it.

use egui::{
    Align2, Context, Grid, Key, Modifiers, Role, ScrollArea, Sense, TextEdit, Ui, WidgetInfo, Window, vec2,
};

use strum::IntoEnumIterator as _;

use crate::{
    desk::widgets::{
        controls::picture_ui,
        painter::{Scale, ScreenPainter},
        theme::{Look, bold},
    },
    picture::signs_explained,
};

use super::{Action, Group, LevelKey, chord::key_words, write::Wait};

/// What is typed into the window.
#[derive(Default)]
pub struct KeyList {
    sought: String,
}

/// A key and what it does.
type Row = (String, &'static str);

impl KeyList {
    /// Shows the window, when it is open.
    pub fn show(&mut self, ctx: &Context, open: &mut bool, look: Look, painter: &mut ScreenPainter) {
        let Self { sought } = self;
        // The field has the keys; those that close the window are for that still.
        let mut closing = Action::Keys.entry().keys.iter().chain(&[(Modifiers::NONE, Key::Escape)]);
        if *open && closing.any(|&(modifiers, key)| ctx.input_mut(|input| input.consume_key(modifiers, key)))
        {
            *open = false;
        }
        if !*open {
            sought.clear();
            return;
        }
        let window = Window::new("All keys").open(open).resizable(false).collapsible(false);
        window.anchor(Align2::CENTER_CENTER, [0.0, 0.0]).show(ctx, |ui| {
            // Read by the hand at the machine, not from the back of a room.
            ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
            ui.horizontal(|ui| {
                let label = ui.label("Find");
                let field = ui.add(TextEdit::singleline(sought).desired_width(200.0)).labelled_by(label.id);
                if ui.ctx().memory(|memory| memory.focused().is_none()) {
                    field.request_focus();
                }
            });
            ui.add_space(6.0);
            let most = ctx.content_rect().height() - 220.0;
            ScrollArea::vertical().max_height(most).show(ui, |ui| {
                ui.horizontal_top(|ui| {
                    for column in columns(sought) {
                        ui.vertical(|ui| column.into_iter().for_each(|(name, rows)| rows_ui(ui, name, rows)));
                        ui.add_space(12.0);
                    }
                });
            });
            signs_ui(ui, look, painter);
            ui.weak("On the staff: click a note, Shift+click or drag for several. On the hair map: drag a point to fix its place. The wheel turns on, Ctrl+wheel stretches.");
        });
    }
}

/// Points in a millimetre of the signs: their words are as large as those of the list.
const POINTS_PER_MM: f32 = 5.2;

/// What the band, the lines and the signs of hair map and levels mean.
fn signs_ui(ui: &mut Ui, look: Look, painter: &mut ScreenPainter) {
    let width = ui.available_width();
    let signs = signs_explained(f64::from(width / POINTS_PER_MM));
    let size = vec2(width, signs.height_mm as f32 * POINTS_PER_MM);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, "The signs of hair map and levels"));
    let scale = Scale { origin: rect.min, points_per_mm: POINTS_PER_MM };
    picture_ui(ui, rect, &signs, scale, look.theme(), painter);
}

/// The columns of the list: groups with those of their keys that are sought.
fn columns(sought: &str) -> Vec<Vec<(&'static str, Vec<Row>)>> {
    let mut columns = vec![Vec::new(); 4];
    for group in Group::iter() {
        let column = match group {
            Group::Play => 0,
            Group::Bow | Group::Edit => 1,
            Group::View | Group::Lesson => 2,
        };
        columns[column].push((group.words(), action_rows(group)));
    }
    columns[3] =
        vec![("While writing", writing_rows(Wait::No)), ("While writing, after M", writing_rows(Wait::Mark))];
    let sought = sought.trim().to_lowercase();
    for column in &mut columns {
        for (name, rows) in column.iter_mut() {
            let all = name.to_lowercase().contains(&sought);
            rows.retain(|(key, words)| {
                all || words.to_lowercase().contains(&sought) || key.to_lowercase() == sought
            });
        }
        column.retain(|(_, rows)| !rows.is_empty());
    }
    columns.retain(|column| !column.is_empty());
    columns
}

fn action_rows(group: Group) -> Vec<Row> {
    // Seven alike are one line.
    let row = |action: Action| {
        let entry = action.entry();
        let key = entry.keys.first()?;
        Some(match action {
            Action::Level(LevelKey::First) => ("1 to 7".to_owned(), "Show a level"),
            Action::HoldLevel(LevelKey::First) => ("Shift+1 to 7".to_owned(), "Hold a level against it"),
            _ => (key_words(*key), entry.words),
        })
    };
    Action::iter().filter(|action| action.entry().group == group).filter_map(row).collect()
}

fn writing_rows(wait: Wait) -> Vec<Row> {
    let notes = (wait == Wait::No).then(|| ("A to G".to_owned(), "note"));
    let named = wait.keys().iter().filter(|entry| !entry.words.is_empty());
    let row = |entry: &super::write::WriteEntry| Some((key_words(*entry.chords.first()?), entry.words));
    notes.into_iter().chain(named.filter_map(row)).collect()
}

fn rows_ui(ui: &mut Ui, name: &str, rows: Vec<Row>) {
    ui.label(bold(name));
    Grid::new(("keys", name)).num_columns(2).spacing([14.0, 2.0]).show(ui, |ui| {
        for (key, words) in rows {
            ui.label(key);
            ui.label(words);
            ui.end_row();
        }
    });
    ui.add_space(8.0);
}
