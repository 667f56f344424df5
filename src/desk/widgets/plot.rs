//! Plots in the look of the window: a bare plane, of which a panel says itself what can be done.

use egui::{Sense, Vec2};
use egui_plot::Plot;

use crate::picture::Ink;

use super::{painter::colour, theme::Look};

/// A plot without axes, which neither moves nor stretches under the pointer.
pub fn bare_plot<'a>(name: &str, size: Vec2, look: Look) -> Plot<'a> {
    Plot::new(name)
        .width(size.x)
        .height(size.y)
        .show_axes(false)
        .show_background(false)
        .show_x(false)
        .show_y(false)
        .allow_zoom(false)
        .allow_scroll(false)
        .allow_drag(false)
        .allow_boxed_zoom(false)
        .allow_double_click_reset(false)
        .set_margin_fraction(Vec2::ZERO)
        .sense(Sense::click_and_drag())
        .grid_color(colour(look.theme(), Ink::Rule))
}
