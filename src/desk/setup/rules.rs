//! Which findings are told, and from where on: the part of the set-up window for the rules of thumb.

use egui::{CollapsingHeader, DragValue, Grid, Ui};

use crate::{
    bowing::Kind,
    score::sentence_case,
    setup::{MOST_REPEATS, Rules},
};

use crate::desk::{music::panel::gesture, state::history::Gesture};

/// Columns of switches, and of figures.
const COLUMNS: usize = 3;

/// Draws switches and figures, both folded at first.
pub fn rules_ui(ui: &mut Ui, rules: &mut Rules, dragged: &mut Option<Gesture>) {
    CollapsingHeader::new("Which findings are told").show(ui, |ui| {
        ui.weak("Teachers differ on many of these. Hover for where a rule comes from.");
        Grid::new("kinds of finding").num_columns(COLUMNS).show(ui, |ui| {
            // Down the columns, as in the order of the list.
            let rows = Kind::ALL.len().div_ceil(COLUMNS);
            for row in 0..rows {
                for kind in Kind::ALL.into_iter().skip(row).step_by(rows) {
                    let mut on = !rules.off.contains(kind.id());
                    if ui.checkbox(&mut on, kind.name()).on_hover_text(kind.source()).changed() {
                        if on {
                            rules.off.remove(kind.id());
                        } else {
                            rules.off.insert(kind.id().to_owned());
                        }
                    }
                }
                ui.end_row();
            }
        });
    });
    CollapsingHeader::new("From where on they are told").show(ui, |ui| {
        Grid::new("figures of the rules").num_columns(2 * COLUMNS).show(ui, |ui| {
            let mut cells = 0;
            let mut cell = |ui: &mut Ui, name: &str, source: &str, drag: DragValue<'_>| {
                let label = ui.label(sentence_case(name));
                let source = format!("Starting value: {source}");
                if ui.add(drag).labelled_by(label.id).on_hover_text(source).changed() {
                    *dragged = Some(gesture(ui, ("rule", name)));
                }
                cells += 1;
                if cells % COLUMNS == 0 {
                    ui.end_row();
                }
            };
            for figure in rules.figures_mut() {
                // Lengths and speeds are shown in centimetres, shares of the hair in percent.
                let (per_unit, unit, decimals) = match figure.unit {
                    "mm" => (10.0, " cm", 1),
                    "mm/s" => (10.0, " cm/s", 0),
                    "of the hair" | "of the stroke" => (0.01, " %", 0),
                    "times" => (1.0, " times", 2),
                    "s" => (1.0, " s", 2),
                    "notes a second" => (1.0, " a second", 1),
                    _ => (1.0, " dB", 1),
                };
                let (least, most) = (figure.least / per_unit, figure.most / per_unit);
                let value = figure.value;
                let drag = DragValue::from_get_set(move |new| {
                    if let Some(new) = new {
                        *value = new * per_unit;
                    }
                    *value / per_unit
                });
                let drag = drag.range(least..=most).speed(0.05).max_decimals(decimals).suffix(unit);
                cell(ui, figure.name, figure.source, drag);
            }
            for (name, count) in rules.counts_mut() {
                let drag = DragValue::new(count).range(1..=MOST_REPEATS).speed(0.05).suffix(" times");
                cell(ui, name, "assumed", drag);
            }
        });
    });
}
