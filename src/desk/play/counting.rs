//! The count before the music, in numbers that are read from a music stand.

use egui::{Align2, Area, Color32, Context, Frame, Id, Margin, Order, RichText, Stroke, vec2};

use crate::{
    desk::widgets::{painter::colour, theme::Look},
    picture::Ink,
    practice::Counting,
};

/// Size of the number, as a share of the height of the window.
const LARGE: f32 = 0.22;

/// Shows the beat that is counted, and under it some lines on what comes.
pub fn counting_ui(ctx: &Context, counting: Counting, lines: &[String], look: Look) {
    let number = counting.beat.map_or_else(String::new, |beat| beat.to_string());
    let height = ctx.content_rect().height();
    let theme = look.theme();
    let area = Area::new(Id::unique("counting")).order(Order::Foreground).interactable(false);
    area.anchor(Align2::CENTER_CENTER, vec2(0.0, -0.07 * height)).show(ctx, |ui| {
        let fill = colour(theme, Ink::Panel);
        let fill = Color32::from_rgba_unmultiplied(fill.r(), fill.g(), fill.b(), 235);
        let edge = Stroke::new(1.0, colour(theme, Ink::Faint));
        let frame = Frame::new().fill(fill).stroke(edge).corner_radius(14.0);
        frame.inner_margin(Margin::symmetric(32, 10)).show(ui, |ui| {
            ui.set_min_width(0.34 * height);
            ui.spacing_mut().item_spacing.y = 0.0;
            ui.vertical_centered(|ui| {
                ui.label(RichText::new(number).size(LARGE * height).strong());
                for line in lines {
                    ui.label(RichText::new(line).heading());
                }
            });
        });
    });
}
