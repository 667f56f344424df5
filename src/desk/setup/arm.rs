//! The part of the set-up window about the arm: body, hold, and what a school does with the elbow.

use egui::{ComboBox, Grid, Ui};
use strum::VariantArray;

use crate::{
    arm::{Arm, LevelFan},
    setup::{Body, BowHold, Family, Origin, Posture, Proportions, Section, Setup, Sex},
};

use crate::desk::{setup::figure::section_ui, state::history::Gesture, widgets::theme::bold};

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
    ui.label(bold("Arm and hold"));
    Grid::new("arm").num_columns(3).show(ui, |ui| {
        body_ui(ui, setup, dragged);
        hold_ui(ui, setup, dragged);
        section_ui(ui, setup, Section::Elbow, false, dragged);
    });
    ui.checkbox(&mut setup.left_handed, "Left-handed: everything flipped");
    let arm = Arm::new(setup, &LevelFan::new(&setup.instrument));
    let words = format!("Plan no farther than this arm reaches ({:.0} cm)", arm.tip_mark_mm() / 10.0);
    ui.checkbox(&mut setup.player.tip_from_reach, words)
        .on_hover_text("Where the elbow is open but not locked, on the level that reaches least");
    instrument_ui(ui, setup, dragged);
}

fn body_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    let body = &mut setup.body;
    choice(ui, "Proportions", Proportions::words, &mut body.proportions);
    ui.label("Usual height");
    let menu = ui.menu_button("by age", |ui| {
        Grid::new("ages").num_columns(3).show(ui, |ui| {
            for age in 3..=17 {
                ui.label(format!("{age} years"));
                for (sex, word) in [(Sex::Girl, "girl"), (Sex::Boy, "boy")] {
                    if ui.small_button(word).clicked() {
                        let of_age = Body::of_age(f64::from(age), sex);
                        (body.stature_mm, body.stature_origin) = (of_age.stature_mm, of_age.stature_origin);
                        ui.close();
                    }
                }
                ui.end_row();
            }
        });
    });
    menu.response
        .on_hover_text("The height of half of all children of that age (CDC 2000), until it is measured");
    ui.end_row();
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
