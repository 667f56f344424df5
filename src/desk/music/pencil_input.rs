//! Pencil marks over the staff: a click leads to one, and those of the chosen notes are marked.

use egui::{CornerRadius, CursorIcon, Painter, Role, Sense, Stroke, StrokeKind, Ui, WidgetInfo, vec2};

use crate::{
    bowing::PencilMark,
    desk::{command::Command, widgets::painter::colour},
    picture::{Ink, Tag},
};

use super::{input::MusicInput, scene::Scene};

/// The marks over the staff with where they stand.
fn marks<'a>(
    input: &'a MusicInput<'_>,
    scene: &'a Scene,
) -> impl Iterator<Item = (usize, &'a PencilMark, egui::Rect)> {
    let all = &input.now.study.pencil().marks;
    scene.marks.iter().filter_map(|(tag, bounds)| {
        let Tag::Mark(index) = *tag else { return None };
        Some((index, all.get(index)?, scene.scale.rect(*bounds)))
    })
}

/// The marks of the chosen notes stand in a box.
pub fn chosen_marks(painter: &Painter, input: &MusicInput<'_>, scene: &Scene) {
    let ink = colour(input.now.look.theme(), Ink::Pencil);
    for (_, _, rect) in marks(input, scene).filter(|(_, mark, _)| input.view.selection.contains(&mark.event))
    {
        let (corner, fill) = (CornerRadius::same(3), ink.gamma_multiply(0.16));
        painter.rect(rect.expand2(vec2(3.0, 0.5)), corner, fill, Stroke::new(1.0, ink), StrokeKind::Inside);
    }
}

/// Clicks on marks.
pub fn pencil_input(ui: &Ui, input: &MusicInput<'_>, scene: &Scene, commands: &mut Vec<Command>) {
    for (index, mark, rect) in marks(input, scene) {
        let id = ui.scope_id().with(("pencil", mark.topic, mark.event));
        let response =
            ui.interact(rect.expand(2.0), id, Sense::click()).on_hover_cursor(CursorIcon::PointingHand);
        response.widget_info(|| {
            WidgetInfo::labeled(Role::Link, true, format!("{} over the staff", mark.title()))
        });
        if response.clicked() {
            commands.push(Command::Mark(index));
        }
        response.on_hover_text(format!("{}\n{}\n{}", mark.text, mark.sentence, mark.why));
    }
}
