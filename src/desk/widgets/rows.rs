//! Long lists: only the rows in view are laid out.

use std::ops::Range;

use egui::Ui;

/// Rows of one height, points, with the usual gap between them; those more than a screen away only take
/// their room. What a frame costs, and the tree for screen readers, so grow with the window, not with the list.
pub fn rows_ui(ui: &mut Ui, height: f32, rows: Range<usize>, mut row: impl FnMut(&mut Ui, usize)) {
    let step = height + ui.spacing().item_spacing.y;
    let seen = ui.clip_rect();
    let near = seen.y_range().expand(seen.height());
    let top = ui.cursor().top();
    // As a place in the list; what lies before it or behind it is cut off by the conversion and the bound.
    let place = |y: f32| (((y - top) / step).max(0.0) as usize).min(rows.len());
    let shown = place(near.min)..place(near.max + step);
    ui.add_space(shown.start as f32 * step);
    for nth in shown.clone() {
        row(ui, rows.start + nth);
    }
    ui.add_space((rows.len() - shown.end) as f32 * step);
}

#[cfg(test)]
mod tests {
    use egui::{Sense, vec2};
    use egui_kittest::Harness;

    use super::*;

    #[test]
    fn rows_far_from_the_view_only_take_their_room() {
        let rows = |height: f32, offset: f32| {
            let ui = move |ui: &mut Ui, (shown, whole): &mut (Vec<usize>, f32)| {
                ui.spacing_mut().item_spacing.y = 2.0;
                shown.clear();
                let list = egui::ScrollArea::vertical().vertical_scroll_offset(offset).show(ui, |ui| {
                    rows_ui(ui, height, 5..10_005, |ui, nth| {
                        shown.push(nth);
                        ui.allocate_exact_size(vec2(50.0, height), Sense::hover());
                    });
                });
                *whole = list.content_size.y;
            };
            let harness =
                Harness::builder().with_size([100.0, 220.0]).build_ui_state(ui, (Vec::new(), 0.0_f32));
            let (shown, whole) = harness.state();
            assert!((whole - (10_000.0 * (height + 2.0))).abs() <= 2.0, "{whole}");
            assert!(shown.len() < 40 && shown.windows(2).all(|two| two[1] == two[0] + 1), "{shown:?}");
            (shown[0], shown[shown.len() - 1])
        };
        assert_eq!(rows(20.0, 0.0).0, 5, "the first at the top");
        let (first, last) = rows(20.0, 22.0 * 4000.0);
        assert!(first < 4005 && last > 4005 + 220 / 22, "what is in view after scrolling: {first} to {last}");
        assert_eq!(rows(20.0, 22.0 * 10_000.0 - 220.0).1, 10_004, "the last at the end");
    }
}
