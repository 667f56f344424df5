//! The bridge seen along the strings, with the level the arm holds.

use egui::{Label, RichText, Role, Sense, Ui, WidgetInfo, vec2};

use crate::{
    analysis::{Analysis, BowState},
    arm::Plane,
    lesson::Lesson,
    picture,
};

use super::{
    painter::{Scale, ScreenPainter},
    theme::Look,
};

/// Narrowest and widest drawing, mm.
const WIDTH_MM: std::ops::RangeInclusive<f64> = 52.0..=76.0;

/// The level with this index, counted from the highest string.
pub fn plane_of(index: usize) -> Plane {
    let string = (index / 2 + 1).min(250) as u8;
    if index.is_multiple_of(2) { Plane::String(string) } else { Plane::Pair(string) }
}

/// Draws the level view. `shown` is a level to look at in place of the present one.
pub fn level_ui(
    ui: &mut Ui,
    (lesson, analysis): (&Lesson, &Analysis),
    state: &BowState,
    shown: Option<usize>,
    painter: &mut ScreenPainter,
    look: Look,
    points_per_mm: f32,
) {
    let levels: Vec<_> = analysis.fan.all().collect();
    let shown = shown.filter(|index| *index < levels.len());
    ui.horizontal(|ui| {
        ui.heading("Level");
        match shown {
            Some(index) => {
                ui.add(Label::new(format!("level {}; its key again goes back", index + 1)).truncate())
            }
            None => {
                ui.add(Label::new(RichText::new("seen along the strings, player behind").weak()).truncate())
            }
        };
    });
    let state = match shown {
        Some(index) => {
            BowState { plane: plane_of(index), level_deg: levels[index].angle_deg, on_string: true, ..*state }
        }
        None => *state,
    };
    let room = ui.available_width();
    let width = f64::from(room / points_per_mm).clamp(*WIDTH_MM.start(), *WIDTH_MM.end());
    let fan = picture::level_fan(lesson, analysis, &state, width);
    // A narrow column makes the drawing smaller rather than cutting it off.
    let points_per_mm = points_per_mm.min(room / width as f32);
    let size = vec2(room, fan.height_mm as f32 * points_per_mm);
    let (rect, response) = ui.allocate_exact_size(size, Sense::hover());
    let level = analysis.fan.level(state.plane);
    response.widget_info(|| {
        let words = format!("Bow level {}, {:.1} degrees", level.name, state.level_deg);
        WidgetInfo::labeled(Role::Image, true, words)
    });
    if ui.is_rect_visible(rect) {
        let left = rect.left() + (rect.width() - width as f32 * points_per_mm) / 2.0;
        let scale = Scale { origin: egui::pos2(left, rect.top()), points_per_mm };
        let shapes = painter.shapes(ui.ctx(), &fan, scale, look.theme(), &|_| None);
        ui.painter_at(rect).extend(shapes);
    }
}
