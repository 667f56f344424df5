//! The pages as they will be printed.

use egui::{Role, ScrollArea, Sense, Stroke, StrokeKind, Ui, WidgetInfo, vec2};

use crate::{
    desk::widgets::{
        controls::picture_ui,
        painter::{Scale, ScreenPainter, colour},
    },
    picture::{Ink, Theme},
};

use super::HandoutInput;

/// Room round a page, points.
const AROUND: f32 = 10.0;

/// Draws the pages under one another, as wide as there is room for.
pub fn sheets_ui(ui: &mut Ui, input: &HandoutInput<'_>, painter: &mut ScreenPainter) {
    let pages = input.work.pages();
    if pages.is_empty() {
        ui.weak("Setting the pages…");
        return;
    }
    ScrollArea::vertical().id_salt("pages").auto_shrink([false, false]).show(ui, |ui| {
        for (index, page) in pages.iter().enumerate() {
            let width = ui.available_width() - 2.0 * AROUND;
            let points_per_mm = (width / page.width_mm as f32).max(0.1);
            let size = vec2(width, page.height_mm as f32 * points_per_mm);
            let (outer, response) = ui.allocate_exact_size(size + vec2(2.0 * AROUND, AROUND), Sense::hover());
            let rect = egui::Rect::from_min_size(outer.min + vec2(AROUND, 0.5 * AROUND), size);
            response.widget_info(|| {
                let words = format!("Page {} of {} of the handout", index + 1, pages.len());
                WidgetInfo::labeled(Role::Image, true, words)
            });
            // Paper is white whatever the look of the window.
            ui.painter().rect_filled(rect, 0.0, colour(&Theme::PRINT, Ink::Paper));
            let edge = Stroke::new(1.0, colour(input.now.look.theme(), Ink::Rule));
            ui.painter().rect_stroke(rect, 0.0, edge, StrokeKind::Outside);
            let scale = Scale { origin: rect.min, points_per_mm };
            picture_ui(ui, rect, page, scale, &Theme::PRINT, painter);
        }
    });
}
