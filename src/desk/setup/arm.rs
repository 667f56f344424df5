//! The part of the set-up window about the arm: body, hold, and what a school does with the elbow.

use egui::{ComboBox, DragValue, Grid, Ui};

use crate::{
    arm::{Arm, LevelFan},
    score::sentence_case,
    setup::{Body, BowHold, Family, Hold, Origin, Part, Posture, Proportions, STATURE_MM, Setup, Sex},
};

use crate::desk::{music::panel::gesture, state::history::Gesture, widgets::theme::bold};

/// One number in its unit; true when it was changed.
fn number(ui: &mut Ui, name: &str, hover: &str, value: &mut f64, (lo, hi): (f64, f64), unit: &str) -> bool {
    let per = if unit == " cm" { 10.0 } else { 1.0 };
    let label = ui.label(name).on_hover_text(hover);
    let mut shown = *value / per;
    let drag = DragValue::new(&mut shown).range(lo / per..=hi / per).speed(0.1).max_decimals(1).suffix(unit);
    let changed = ui.add(drag).labelled_by(label.id).on_hover_text(hover).changed();
    if changed {
        *value = shown * per;
    }
    changed
}

/// The measures of the instrument, folded at first; a click on "measured" goes back to the catalogue.
fn instrument_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    egui::CollapsingHeader::new("Bridge and strings").show(ui, |ui| {
        Grid::new("measures").num_columns(3).show(ui, |ui| {
            for measure in setup.instrument.measures_mut() {
                let unit = if measure.unit == "mm" { " mm" } else { "°" };
                if number(ui, measure.name, measure.what, measure.value, measure.range, unit) {
                    *dragged = Some(gesture(ui, measure.name));
                }
                match measure.usual.filter(|_| measure.origin == Origin::Measured) {
                    Some(usual) => {
                        if ui.small_button("measured").on_hover_text("Back to the catalogue's").clicked() {
                            *measure.value = usual;
                        }
                    }
                    None => {
                        ui.weak(measure.origin.word());
                    }
                }
                ui.end_row();
            }
        });
    });
}

/// Draws the section and changes the set-up.
pub fn arm_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    ui.label(bold("Arm and hold"));
    Grid::new("arm").num_columns(3).show(ui, |ui| {
        body_ui(ui, setup, dragged);
        hold_ui(ui, setup, dragged);
        school_ui(ui, setup, dragged);
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
    let hover = "The parts that are not measured follow from it";
    if number(ui, "Height", hover, &mut body.stature_mm, STATURE_MM, " cm") {
        body.stature_origin = Origin::Measured;
        *dragged = Some(gesture(ui, "height"));
    }
    ui.weak(body.stature_origin.word());
    ui.end_row();
    let label = ui.label("Proportions");
    let list = ComboBox::from_id_salt("proportions").selected_text(body.proportions.words());
    let list = list.show_ui(ui, |ui| {
        for other in Proportions::ALL {
            ui.selectable_value(&mut body.proportions, other, other.words());
        }
    });
    list.response.labelled_by(label.id);
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
    for part in Part::ALL {
        let (mut mm, origin) = body.part_mm(part);
        let words = part.words();
        let name = sentence_case(words);
        let hover = "Type it to keep your own measure; a click on its source goes back to the table";
        if number(ui, &name, hover, &mut mm, part.range_mm(), " cm") {
            body.measured_mm[part as usize] = Some(mm);
            *dragged = Some(gesture(ui, words));
        }
        if origin == Origin::Measured {
            if ui.small_button("measured").clicked() {
                body.measured_mm[part as usize] = None;
            }
        } else {
            ui.weak(origin.word());
        }
        ui.end_row();
    }
}

fn hold_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    let family = setup.instrument.family;
    let old = setup.held();
    let mut hold: Hold = old.clone();
    let mut roll = setup.instrument.roll_deg;
    let as_usual = Hold::usual(family);
    let usual_roll = Setup::for_family(family).instrument.roll_deg;
    let usual = if family.on_shoulder() {
        [as_usual.yaw_deg, as_usual.pitch_deg, usual_roll]
    } else {
        [as_usual.lean_deg, as_usual.side_deg, usual_roll]
    };
    let figures: &mut [(&str, &str, &mut f64, (f64, f64))] = if family.on_shoulder() {
        &mut [
            ("Scroll to the left", "From straight ahead", &mut hold.yaw_deg, (0.0, 80.0)),
            ("Scroll raised", "Strings level with the floor at 0", &mut hold.pitch_deg, (-30.0, 40.0)),
            ("Treble side lowered", "Roll of the instrument", &mut roll, (0.0, 60.0)),
        ]
    } else {
        &mut [
            ("Lean toward the player", "From upright", &mut hold.lean_deg, (0.0, 70.0)),
            ("Lean to the left", "So that the neck passes the head", &mut hold.side_deg, (0.0, 40.0)),
            ("Turned to the bow hand", "Turn about its own length", &mut roll, (-20.0, 70.0)),
        ]
    };
    for ((name, hover, value, range), usual) in figures.iter_mut().zip(usual) {
        if number(ui, name, hover, value, *range, "°") {
            *dragged = Some(gesture(ui, *name));
        }
        let own = (**value - usual).abs() > 1e-9;
        ui.weak(if own { Origin::Measured } else { Origin::Assumed }.word());
        ui.end_row();
    }
    let postures =
        [(Posture::Standing, "standing"), (Posture::Seated, "on a chair"), (Posture::Stool, "on a stool")];
    choice(ui, "Posture", &postures, &mut hold.posture);
    if family == Family::DoubleBass {
        choice(ui, "Bass bow", &[(BowHold::Over, "French"), (BowHold::Under, "German")], &mut hold.bow);
    }
    setup.instrument.roll_deg = roll;
    if hold != old {
        setup.hold = Some(hold);
    }
}

fn school_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    let school = &mut setup.school.arm;
    let schools = "0: in the plane of shoulder and bow; -1: one of the seven levels lower. Schools differ";
    if number(ui, "Elbow", schools, &mut school.elbow_levels, (-4.0, 4.0), " levels") {
        *dragged = Some(gesture(ui, "elbow"));
    }
    ui.end_row();
    let lift = "Added to the elbow from frog to tip. Schools differ";
    if number(ui, "Lift toward the tip", lift, &mut school.tip_lift_levels, (-4.0, 4.0), " levels") {
        *dragged = Some(gesture(ui, "lift"));
    }
    ui.end_row();
}

fn choice<T: Copy + PartialEq>(ui: &mut Ui, name: &str, choices: &[(T, &str)], value: &mut T) {
    let label = ui.label(name);
    let shown = choices.iter().find(|choice| choice.0 == *value).map_or("", |choice| choice.1);
    let list = ComboBox::from_id_salt(name).selected_text(shown).show_ui(ui, |ui| {
        for (other, words) in choices {
            ui.selectable_value(value, *other, *words);
        }
    });
    list.response.labelled_by(label.id);
    ui.end_row();
}
