//! The count before the music, in numbers that are read from a music stand.

use egui::{Align2, Area, Color32, Context, Frame, Id, Margin, Order, RichText, vec2};

use crate::{
    desk::widgets::{painter::colour, theme::Look},
    picture::Ink,
    practice::Counting,
};

/// Size of the number, as a share of the height of the window.
const LARGE: f32 = 0.34;

/// Shows the beat that is counted, and under it what comes.
pub fn counting_ui(ctx: &Context, counting: Counting, words: &str, look: Look) {
    let number = counting.beat.map_or_else(String::new, |beat| beat.to_string());
    let height = ctx.content_rect().height();
    let theme = look.theme();
    let area = Area::new(Id::unique("counting")).order(Order::Foreground).interactable(false);
    area.anchor(Align2::CENTER_CENTER, vec2(0.0, -0.06 * height)).show(ctx, |ui| {
        let fill = colour(theme, Ink::Panel);
        let fill = Color32::from_rgba_unmultiplied(fill.r(), fill.g(), fill.b(), 235);
        Frame::new().fill(fill).corner_radius(18.0).inner_margin(Margin::symmetric(40, 18)).show(ui, |ui| {
            ui.set_min_width(0.5 * height);
            ui.vertical_centered(|ui| {
                ui.label(RichText::new(number).size(LARGE * height).strong());
                ui.label(RichText::new(words).heading());
            });
        });
    });
}
