//! Windows over the desk: all keys, instrument and player.

use egui::{Align2, ComboBox, Context, DragValue, Grid, Ui, Window};

use crate::{
    lesson::{Edit, Lesson},
    setup::{Family, Setup},
};

use super::{
    command::{Command, Group, TABLE, key_words},
    music_panel::gesture,
    theme::bold,
};

/// The list of all keys, from the table of commands.
pub fn keys_ui(ctx: &Context, open: &mut bool) {
    Window::new("All keys").open(open).resizable(false).collapsible(false).anchor(Align2::CENTER_CENTER, [0.0, 0.0]).show(
        ctx,
        |ui| {
            ui.horizontal_top(|ui| {
                for groups in [&Group::ALL[..1], &Group::ALL[1..3], &Group::ALL[3..]] {
                    ui.vertical(|ui| {
                        for group in groups {
                            group_ui(ui, *group);
                        }
                    });
                    ui.add_space(12.0);
                }
            });
            ui.weak("On the staff: click a note, Shift+click or drag for several. On the hair map: drag a point to fix its place. The wheel turns on, Ctrl+wheel stretches.");
        },
    );
}

fn group_ui(ui: &mut Ui, group: Group) {
    ui.label(bold(group.words()));
    Grid::new(("keys", group.words())).num_columns(2).spacing([14.0, 2.0]).show(ui, |ui| {
        for entry in TABLE.iter().filter(|entry| entry.group == group && !entry.keys.is_empty()) {
            ui.label(key_words(entry.keys[0]));
            ui.label(entry.words);
            ui.end_row();
        }
    });
    ui.add_space(8.0);
}

/// Instrument, bow and player.
pub fn setup_ui(ctx: &Context, lesson: &Lesson, open: &mut bool, commands: &mut Vec<Command>) {
    let old = &lesson.setup;
    let mut new = old.clone();
    let mut dragged = None;
    Window::new("Instrument and player")
        .open(open)
        .resizable(false)
        .collapsible(false)
        .anchor(Align2::CENTER_CENTER, [0.0, 0.0])
        .show(ctx, |ui| {
            let mut family = old.instrument.family;
            ui.horizontal(|ui| {
                let label = ui.label("Instrument");
                let list = ComboBox::from_id_salt("family").selected_text(family.word()).show_ui(ui, |ui| {
                    for other in Family::ALL {
                        ui.selectable_value(&mut family, other, other.word());
                    }
                });
                list.response.labelled_by(label.id);
            });
            if family != old.instrument.family {
                new = Setup { tempo_share: old.tempo_share, ..Setup::for_family(family) };
            }
            let mut name = new.player.name.clone();
            ui.horizontal(|ui| {
                let label = ui.label("Player");
                if ui.text_edit_singleline(&mut name).labelled_by(label.id).changed() {
                    new.player.name = name;
                    dragged = Some(gesture(ui, "name"));
                }
            });
            Grid::new("figures").num_columns(2).show(ui, |ui| {
                let hair = new.bow.hair_mm;
                let own_tip = new.player.tip_mark_mm.unwrap_or(hair);
                let mut tip = own_tip;
                let figures: [(&str, &mut f64, std::ops::RangeInclusive<f64>, f64, &str); 7] = [
                    ("Playable hair", &mut new.bow.hair_mm, 100.0..=900.0, 10.0, " cm"),
                    (
                        "Slowest whole bow under control",
                        &mut new.player.slowest_whole_bow_s,
                        0.5..=120.0,
                        1.0,
                        " s",
                    ),
                    ("Fastest whole bow", &mut new.player.fastest_whole_bow_s, 0.1..=10.0, 1.0, " s"),
                    (
                        "Hair left out at the frog",
                        &mut new.player.frog_margin_mm,
                        0.0..=hair / 2.0,
                        10.0,
                        " cm",
                    ),
                    (
                        "Hair left out at the tip",
                        &mut new.player.tip_margin_mm,
                        0.0..=hair / 2.0,
                        10.0,
                        " cm",
                    ),
                    ("The player's own tip, from the frog", &mut tip, 50.0..=hair, 10.0, " cm"),
                    ("Wanted speed at mf", &mut new.school.speed_mm_per_s[4], 1.0..=3000.0, 10.0, " cm/s"),
                ];
                for (name, value, range, per_unit, unit) in figures {
                    let label = ui.label(name);
                    let mut shown = *value / per_unit;
                    let range = range.start() / per_unit..=range.end() / per_unit;
                    let drag = DragValue::new(&mut shown)
                        .range(range)
                        .speed(0.05)
                        .min_decimals(0)
                        .max_decimals(1)
                        .suffix(unit);
                    if ui.add(drag).labelled_by(label.id).changed() {
                        *value = shown * per_unit;
                        dragged = Some(gesture(ui, name));
                    }
                    ui.end_row();
                }
                if tip != own_tip {
                    new.player.tip_mark_mm = (tip < hair - 0.5).then_some(tip);
                }
            });
        });
    // Compare before writing: an untouched window must not make a step to undo.
    if new != *old {
        commands.push(Command::Edit(Box::new(Ok(Edit::Setup(Box::new(new)))), dragged));
    }
}
