//! Three questions that set up a pupil: the instrument and its size, how tall or how old, which stage.

use egui::{ComboBox, Grid, Label, Ui};

use crate::{
    arm::reach_words,
    desk::state::history::Gesture,
    setup::{Body, Catalogue, Family, Origin, Player, Section, Setup, Sex, size_words},
};

use super::figure::number_ui;

/// Asks and sets up.
pub fn pupil_ui(ui: &mut Ui, old: &Setup, new: &mut Setup, dragged: &mut Option<Gesture>) {
    Grid::new("pupil").num_columns(2).show(ui, |ui| {
        instrument_ui(ui, old, new);
        height_ui(ui, new, dragged);
        age_ui(ui, new);
        stage_ui(ui, new);
    });
    ui.checkbox(&mut new.left_handed, "Left-handed: everything flipped");
    ui.add_space(4.0);
    ui.add(Label::new(reach_words(new)).wrap());
    ui.checkbox(&mut new.player.tip_from_reach, "Plan no farther than this arm reaches")
        .on_hover_text("Where the elbow is open but not locked, on the level that reaches least");
}

/// A labelled list of entries by their words.
fn list_ui(ui: &mut Ui, name: &str, shown: &str, entries: &[String], chosen: &mut Option<usize>) {
    let label = ui.label(name);
    let list = ComboBox::from_id_salt(name).width(150.0).selected_text(shown).show_ui(ui, |ui| {
        for (index, entry) in entries.iter().enumerate() {
            if ui.selectable_label(entry == shown, entry).clicked() {
                *chosen = Some(index);
            }
        }
    });
    list.response.labelled_by(label.id);
    ui.end_row();
}

fn instrument_ui(ui: &mut Ui, old: &Setup, new: &mut Setup) {
    let catalogue = Catalogue::builtin();
    let family = old.instrument.family;
    let mut chosen = None;
    let families: Vec<String> = Family::ALL.iter().map(|family| family.word().to_owned()).collect();
    list_ui(ui, "Instrument", family.word(), &families, &mut chosen);
    if let Some(other) = chosen.map(|index| Family::ALL[index]).filter(|other| *other != family) {
        *new = old.clone().on(other);
    }
    let sizes = catalogue.by_size(family);
    let mut chosen = None;
    let names: Vec<String> = sizes.iter().map(|known| size_words(&known.size)).collect();
    list_ui(ui, "Size", &size_words(&old.instrument.size), &names, &mut chosen);
    if let Some(index) = chosen {
        *new = old.clone().in_size(sizes[index]);
    }
    let bows: Vec<_> =
        catalogue.bows.iter().filter(|known| known.0 == family).map(|known| &known.1).collect();
    let mut chosen = None;
    let names: Vec<String> = bows.iter().map(|bow| size_words(&bow.name)).collect();
    list_ui(ui, "Bow", &size_words(&old.bow.name), &names, &mut chosen);
    if let Some(index) = chosen {
        *new = old.clone().with_bow(bows[index].clone());
    }
}

/// The height; asked for where it is only the usual one for the size.
fn height_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    let before = setup.body.stature_mm;
    let label = ui.label("Height");
    ui.horizontal(|ui| {
        if let Some(mut height) = setup.section_mut(Section::Body).into_iter().next() {
            number_ui(ui, &label, &mut height, dragged);
        }
        if setup.body.stature_mm != before {
            setup.body.stature_origin = Origin::Measured;
        }
        ui.weak(match setup.body.stature_origin {
            Origin::Measured => "measured",
            Origin::Assumed => "usual for this size: how tall?",
            Origin::Published | Origin::Memory => "usual for this age",
        });
    });
    ui.end_row();
}

fn age_ui(ui: &mut Ui, setup: &mut Setup) {
    ui.label("or how old");
    let menu = ui.menu_button("by age", |ui| {
        Grid::new("ages").num_columns(3).show(ui, |ui| {
            for age in 3..=17 {
                ui.label(format!("{age} years"));
                for (sex, word) in [(Sex::Girl, "girl"), (Sex::Boy, "boy")] {
                    if ui.small_button(word).clicked() {
                        let of_age = Body::of_age(f64::from(age), sex);
                        let body = &mut setup.body;
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
}

fn stage_ui(ui: &mut Ui, setup: &mut Setup) {
    let catalogue = Catalogue::builtin();
    let hair = setup.bow.hair_mm;
    let names: Vec<String> = catalogue.players.iter().map(|preset| preset.name.clone()).collect();
    let now = catalogue.stage_of(&setup.player, hair);
    let shown = now.map_or("own figures", |index| &names[index]).to_owned();
    let mut chosen = None;
    list_ui(ui, "Stage", &shown, &names, &mut chosen);
    if let Some(preset) = chosen.and_then(|index| catalogue.stage(index, hair)) {
        // A name of the user's own stays.
        let own = !names.contains(&setup.player.name);
        let name = if own { setup.player.name.clone() } else { preset.name.clone() };
        setup.player = Player { name, ..preset };
    }
}
