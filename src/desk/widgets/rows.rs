//! Long lists: only the rows in view are laid out.

use std::{
    ops::Range,
    sync::{Arc, Mutex, PoisonError},
};

use egui::{Rangef, TextStyle, Ui};

/// Rows of one height, points, with the usual gap between them; those more than a screen away only take
/// their room. What a frame costs, and the tree for screen readers, so grow with the window, not with the list.
pub fn rows_ui(ui: &mut Ui, height: f32, rows: Range<usize>, mut row: impl FnMut(&mut Ui, usize)) {
    let step = height + ui.spacing().item_spacing.y;
    let near = near(ui);
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

/// Rows that are as high as what they say: those that were not laid out yet are taken to be as high as the
/// others are on average, or one line of text.
pub fn uneven_rows_ui(ui: &mut Ui, name: &str, count: usize, mut row: impl FnMut(&mut Ui, usize)) {
    let id = ui.scope_id().with(name);
    let known = ui.data_mut(|data| data.get_temp_mut_or_default::<Arc<Mutex<Vec<Option<f32>>>>>(id).clone());
    let mut steps = known.lock().unwrap_or_else(PoisonError::into_inner);
    steps.resize(count, None);
    let (sum, measured) =
        steps.iter().flatten().fold((0.0, 0), |(sum, measured), step| (sum + step, measured + 1));
    let usual = if measured == 0 { ui.text_style_height(&TextStyle::Body) } else { sum / measured as f32 };
    let near = near(ui);
    let (mut top, mut gap) = (ui.cursor().top(), 0.0);
    for nth in 0..count {
        let step = steps[nth].unwrap_or(usual);
        if top + step < near.min || top > near.max {
            gap += step;
            top += step;
            continue;
        }
        ui.add_space(std::mem::take(&mut gap));
        let before = ui.cursor().top();
        ui.push_id(nth, |ui| row(ui, nth));
        let step = ui.cursor().top() - before;
        steps[nth] = Some(step);
        top += step;
    }
    ui.add_space(gap);
}

/// What is in view, and a screen on either side, points.
fn near(ui: &Ui) -> Rangef {
    let seen = ui.clip_rect();
    seen.y_range().expand(seen.height())
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

    #[test]
    fn uneven_rows_find_their_room_when_they_are_seen() {
        let height = |nth: usize| if nth.is_multiple_of(3) { 58.0 } else { 18.0 };
        let ui = move |ui: &mut Ui, (shown, offset, whole): &mut (Vec<usize>, f32, f32)| {
            ui.spacing_mut().item_spacing.y = 2.0;
            shown.clear();
            let list = egui::ScrollArea::vertical().vertical_scroll_offset(*offset).show(ui, |ui| {
                uneven_rows_ui(ui, "list", 6000, |ui, nth| {
                    shown.push(nth);
                    ui.allocate_exact_size(vec2(50.0, height(nth)), Sense::hover());
                });
            });
            *whole = list.content_size.y;
        };
        let state = (Vec::new(), 0.0_f32, 0.0_f32);
        let mut harness = Harness::builder().with_size([100.0, 220.0]).build_ui_state(ui, state);
        harness.run_steps(3);
        // Two rows of 20 points and one of 60, with their gaps.
        let exact = 6000.0 / 3.0 * 100.0;
        let (shown, _, whole) = harness.state();
        assert!(shown[0] == 0 && shown.len() < 40, "{shown:?}");
        assert!((whole / exact - 1.0).abs() < 0.2, "{whole} of {exact}");
        harness.state_mut().1 = 100_000.0;
        harness.run_steps(3);
        let (shown, _, whole) = harness.state();
        assert!(shown.len() < 60 && (2400..3600).contains(&shown[0]), "{shown:?}");
        assert!(shown.windows(2).all(|two| two[1] == two[0] + 1), "{shown:?}");
        assert!((whole / exact - 1.0).abs() < 0.2, "{whole} of {exact}");
    }
}
