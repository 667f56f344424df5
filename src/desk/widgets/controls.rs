//! Controls that several panels use.

use std::hash::{DefaultHasher, Hash, Hasher as _};

use egui::{ComboBox, CursorIcon, Label, RichText, Role, Sense, Shape, Stroke, Ui, WidgetInfo, vec2};

use crate::picture::{Ink, Picture, Theme};

use super::{
    painter::{Scale, ScreenPainter, colour},
    signs::sign_ui,
    theme::Look,
};

/// Names a drag of one thing, so that it is one step to undo.
pub fn gesture(ui: &Ui, what: impl Hash) -> u64 {
    let mut hasher = DefaultHasher::new();
    what.hash(&mut hasher);
    let since = ui.input(|input| input.pointer.press_start_time());
    since.map(f64::to_bits).hash(&mut hasher);
    hasher.finish()
}

/// A list to choose from, with its label in front.
pub fn choice(
    ui: &mut Ui,
    salt: impl Hash + std::fmt::Debug,
    label: &str,
    chosen: String,
    width: f32,
    list: impl FnOnce(&mut Ui),
) {
    let label = ui.label(label);
    let combo = ComboBox::from_id_salt(salt).selected_text(chosen).width(width);
    combo.show_ui(ui, list).response.labelled_by(label.id);
}

/// A heading that folds what stands under it; true when it was clicked.
pub fn fold_ui(ui: &mut Ui, words: &str, open: bool, look: Look) -> bool {
    let ink = colour(look.theme(), Ink::Faint);
    let shown = ui.horizontal(|ui| {
        sign_ui(ui, |painter, rect| {
            let (c, r) = (rect.center(), 0.24 * rect.width());
            let arrow = if open {
                [vec2(-r, -0.5 * r), vec2(r, -0.5 * r), vec2(0.0, 0.8 * r)]
            } else {
                [vec2(-0.5 * r, -r), vec2(0.8 * r, 0.0), vec2(-0.5 * r, r)]
            };
            let corners = arrow.map(|v| c + v).to_vec();
            painter.add(Shape::convex_polygon(corners, ink, Stroke::NONE));
        });
        ui.add(Label::new(RichText::new(words).weak()).selectable(false));
    });
    let response = ui
        .interact(shown.response.rect, ui.scope_id().with(("fold", words)), Sense::click())
        .on_hover_cursor(CursorIcon::PointingHand);
    let does = if open { "Hide" } else { "Show" };
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("{does} {words}")));
    response.clicked()
}

/// Paints a drawing inside a rectangle, where any of it is seen.
pub fn picture_ui(
    ui: &Ui,
    rect: egui::Rect,
    picture: &Picture,
    scale: Scale,
    theme: &Theme,
    painter: &mut ScreenPainter,
) {
    if ui.is_rect_visible(rect) {
        ui.painter_at(rect).extend(painter.shapes(ui.ctx(), picture, scale, theme, &|_| None));
    }
}
