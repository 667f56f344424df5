//! The part of the set-up window about the arm: body, hold, and what a school does with the elbow.

use egui::{ComboBox, Grid, Ui};
use strum::VariantArray;

use crate::setup::{BowHold, Family, Origin, Posture, Proportions, Section, Setup};

use crate::desk::{setup::figure::section_ui, state::history::Gesture};

/// The measures of the instrument, folded at first.
fn instrument_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    egui::CollapsingHeader::new("Bridge and strings").show(ui, |ui| {
        Grid::new("measures").num_columns(3).show(ui, |ui| {
            section_ui(ui, setup, Section::Instrument, true, dragged);
        });
    });
}

/// Draws the section and changes the set-up.
pub fn arm_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    Grid::new("arm").num_columns(3).show(ui, |ui| {
        body_ui(ui, setup, dragged);
        hold_ui(ui, setup, dragged);
        section_ui(ui, setup, Section::Elbow, false, dragged);
    });
    instrument_ui(ui, setup, dragged);
}

fn body_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    choice(ui, "Proportions", Proportions::words, &mut setup.body.proportions);
    let before = setup.body.stature_mm;
    section_ui(ui, setup, Section::Body, true, dragged);
    if setup.body.stature_mm != before {
        setup.body.stature_origin = Origin::Measured;
    }
}

fn hold_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    let family = setup.instrument.family;
    let (kept, before) = (setup.hold.clone(), setup.held());
    setup.hold = Some(before.clone());
    section_ui(ui, setup, Section::Hold, true, dragged);
    let hold = setup.hold.get_or_insert_with(|| before.clone());
    choice(ui, "Posture", Posture::words, &mut hold.posture);
    if family == Family::DoubleBass {
        choice(ui, "Bass bow", BowHold::words, &mut hold.bow);
    }
    if *hold == before {
        // Nothing was changed: what is usual stays unsaid.
        setup.hold = kept;
    }
}

/// A list of all that may be chosen.
fn choice<T: VariantArray + Copy + PartialEq>(
    ui: &mut Ui,
    name: &str,
    words: fn(T) -> &'static str,
    value: &mut T,
) {
    let label = ui.label(name);
    let list = ComboBox::from_id_salt(name).selected_text(words(*value)).show_ui(ui, |ui| {
        for other in T::VARIANTS {
            ui.selectable_value(value, *other, words(*other));
        }
    });
    list.response.labelled_by(label.id);
    ui.end_row();
}
