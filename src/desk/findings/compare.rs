//! What differs from the kept version, as a list that leads there.

use egui::{Frame, Label, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

use crate::{
    advice::Difference,
    desk::{
        command::{Action, Command, buttons::button},
        state::kept::Kept,
        widgets::{
            painter::colour,
            rows::uneven_rows_ui,
            theme::{Look, bold},
        },
    },
    picture::Ink,
    score::sentence_case,
};

/// Draws the list of differences.
pub fn compare_ui(ui: &mut Ui, kept: &Kept, look: Look, commands: &mut Vec<Command>) {
    ui.label(sentence_case(kept.words()));
    ui.horizontal_wrapped(|ui| {
        button(ui, Action::TakeVersion, commands);
        button(ui, Action::DropVersion, commands);
    });
    ScrollArea::vertical().id_salt("differences").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        if kept.differences().is_empty() {
            ui.add(
                Label::new("No differences yet. Change the bowing, and what is different is listed here; the kept version is dashed on the hair map.")
                    .wrap(),
            );
        }
        let differences = kept.differences();
        uneven_rows_ui(ui, "differences", differences.len(), |ui, index| {
            if difference_ui(ui, &differences[index], index, look) {
                commands.push(Command::Difference(index));
            }
        });
    });
}

fn difference_ui(ui: &mut Ui, difference: &Difference, index: usize, look: Look) -> bool {
    let shown = Frame::new().inner_margin(5.0).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 0.0;
        let place = bold(sentence_case(&difference.place));
        ui.add(Label::new(place).truncate().selectable(false));
        ui.add(Label::new(&difference.words).wrap().selectable(false));
    });
    let rect = shown.response.rect;
    let response = ui
        .interact(rect, ui.scope_id().with(("difference", index)), Sense::click())
        .on_hover_cursor(egui::CursorIcon::PointingHand);
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Link, true, format!("{}, {}", difference.place, difference.words))
    });
    if response.hovered() {
        let edge = Stroke::new(1.0, colour(look.theme(), Ink::Rule));
        ui.painter().rect_stroke(rect, 5.0, edge, egui::StrokeKind::Inside);
    }
    response.clicked()
}
