//! Which findings are told, and from where on: the part of the set-up window for the rules of thumb.

use egui::{CollapsingHeader, Grid, Ui};
use strum::VariantArray as _;

use crate::{
    bowing::Kind,
    setup::{Section, Setup},
};

use crate::desk::{setup::figure::figure_ui, state::history::Gesture};

/// Columns of switches, and of figures.
const COLUMNS: usize = 3;

/// Draws switches and figures, both folded at first.
pub fn rules_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    CollapsingHeader::new("Which findings are told").show(ui, |ui| {
        let rules = &mut setup.school.rules;
        ui.weak("Teachers differ on many of these. Hover for where a rule comes from.");
        Grid::new("kinds of finding").num_columns(COLUMNS).show(ui, |ui| {
            // Down the columns, as in the order of the list.
            let rows = Kind::VARIANTS.len().div_ceil(COLUMNS);
            for row in 0..rows {
                for kind in Kind::VARIANTS.iter().copied().skip(row).step_by(rows) {
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
            for (cell, mut figure) in setup.section_mut(Section::Rules).into_iter().enumerate() {
                figure_ui(ui, &mut figure, dragged);
                if (cell + 1) % COLUMNS == 0 {
                    ui.end_row();
                }
            }
        });
    });
}
