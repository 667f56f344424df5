//! The set-up window: instrument, bow, player, school, and the players a teacher keeps.
//!
//! Every change is one undoable edit of the set-up; nothing here is kept in a lesson otherwise.

use std::{ops::RangeInclusive, path::Path};

use egui::{Align2, ComboBox, Context, DragValue, Grid, Id, Response, ScrollArea, Ui, Window};

use crate::{
    exchange::profiles::{Profile, Profiles},
    lesson::{Edit, Lesson},
    score::Dynamic,
    setup::{Approach, Catalogue, Family, Positions, Setup, WeightForTwo},
};

use crate::desk::{
    command::Command, music::panel::gesture, setup::arm, setup::rules::rules_ui, state::history::Gesture,
    widgets::theme::bold,
};

/// State of the window besides the lesson.
#[derive(Default)]
pub struct SetupWindow {
    /// The kept players, read when the window is first shown; or why they cannot be read.
    kept: Option<Result<Profiles, String>>,
    /// A new name being typed for the kept player of this name.
    renaming: Option<(String, String)>,
    /// The kept player that a second click forgets.
    deleting: Option<String>,
    /// What went wrong last.
    message: Option<String>,
}

/// A figure that is typed or dragged.
struct Figure<'a> {
    name: &'a str,
    value: &'a mut f64,
    /// In the unit it is kept in.
    range: RangeInclusive<f64>,
    /// What is kept for one of the unit shown.
    per_unit: f64,
    unit: &'a str,
    /// Where the starting value comes from.
    source: &'a str,
}

impl SetupWindow {
    /// Shows the window. `folder` is where players are kept, if anywhere.
    pub fn show(
        &mut self,
        ctx: &Context,
        lesson: &Lesson,
        folder: Option<&Path>,
        open: &mut bool,
        commands: &mut Vec<Command>,
    ) {
        if !*open {
            // Read again the next time: another window may have changed it.
            *self = Self::default();
            return;
        }
        let old = &lesson.setup;
        let mut new = old.clone();
        let mut dragged = None;
        let tallest = (ctx.content_rect().height() - 110.0).max(200.0);
        let widest = (ctx.content_rect().width() - 60.0).max(200.0);
        Window::new("Instrument and player")
            .open(open)
            .resizable(false)
            .collapsible(false)
            .anchor(Align2::CENTER_CENTER, [0.0, 0.0])
            .show(ctx, |ui| {
                // Read by the hand at the machine, not from the back of a room.
                ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
                let area = ScrollArea::both().max_width(widest).max_height(tallest);
                area.min_scrolled_height(tallest).min_scrolled_width(widest).show(ui, |ui| {
                    ui.horizontal_top(|ui| {
                        ui.vertical(|ui| {
                            instrument_ui(ui, old, &mut new);
                            ui.add_space(8.0);
                            player_ui(ui, &mut new, &mut dragged);
                            ui.add_space(8.0);
                            self.kept_ui(ui, folder, &mut new);
                        });
                        ui.add_space(18.0);
                        ui.vertical(|ui| school_ui(ui, &mut new, &mut dragged));
                        ui.add_space(18.0);
                        ui.vertical(|ui| arm::arm_ui(ui, &mut new, &mut dragged));
                        // Clear of the scroll bar.
                        ui.add_space(10.0);
                    });
                    ui.add_space(8.0);
                    rules_ui(ui, &mut new.school.rules, &mut dragged);
                });
            });
        // Compare before writing: an untouched window must not make a step to undo.
        if new != *old {
            commands.push(Command::Edit(Box::new(Ok(Edit::Setup(Box::new(new)))), dragged));
        }
    }

    fn kept_ui(&mut self, ui: &mut Ui, folder: Option<&Path>, setup: &mut Setup) {
        ui.label(bold("Kept players"));
        let load = || Profiles::load(folder).map_err(|error| error.to_string());
        let kept = match self.kept.get_or_insert_with(load) {
            Ok(kept) => kept,
            Err(error) => {
                ui.add(egui::Label::new(error.as_str()).wrap());
                return;
            }
        };
        let mut done = Ok(());
        for profile in kept.list().to_vec() {
            let name = profile.player.name.clone();
            ui.horizontal(|ui| {
                if let Some((_, typed)) = self.renaming.as_mut().filter(|(of, _)| *of == name) {
                    let label = ui.label("New name");
                    ui.add(
                        egui::TextEdit::singleline(typed).font(egui::TextStyle::Button).desired_width(120.0),
                    )
                    .labelled_by(label.id);
                    if ui.button("Rename").clicked() {
                        done = kept.rename(&name, typed);
                        self.renaming = None;
                    }
                    return;
                }
                let hover = "Takes over this player and bow";
                if ui.selectable_label(setup.player == profile.player, &name).on_hover_text(hover).clicked() {
                    setup.player = profile.player.clone();
                    setup.bow = profile.bow.clone();
                }
                if ui.small_button("Rename…").clicked() {
                    self.renaming = Some((name.clone(), name.clone()));
                }
                let sure = self.deleting.as_ref() == Some(&name);
                if ui.small_button(if sure { "Really forget" } else { "Forget" }).clicked() {
                    if sure {
                        done = kept.delete(&name);
                        self.deleting = None;
                    } else {
                        self.deleting = Some(name.clone());
                    }
                }
            });
        }
        let hover = "Keeps the player's figures and the bow under this name, for other lessons";
        if ui.button(format!("Keep {:?}", setup.player.name.trim())).on_hover_text(hover).clicked() {
            done = kept.save(Profile { player: setup.player.clone(), bow: setup.bow.clone() });
            self.message = None;
        }
        if let Err(error) = done {
            self.message = Some(error.to_string());
        }
        if let Some(message) = &self.message {
            ui.add(egui::Label::new(message.as_str()).wrap());
        }
    }
}

/// A labelled list; true when another entry was chosen.
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
    ui.label(bold("Instrument and bow"));
    Grid::new("instrument").num_columns(2).show(ui, |ui| {
        let mut chosen = None;
        let families: Vec<String> = Family::ALL.iter().map(|family| family.word().to_owned()).collect();
        list_ui(ui, "Instrument", family.word(), &families, &mut chosen);
        if let Some(other) = chosen.map(|index| Family::ALL[index]).filter(|other| *other != family) {
            // Another instrument has its own bow and hold; player and school stay.
            let usual = Setup::for_family(other);
            (new.instrument, new.bow, new.hold) = (usual.instrument, usual.bow, usual.hold);
        }
        let sizes: Vec<_> = catalogue.instruments.iter().filter(|known| known.family == family).collect();
        let mut chosen = None;
        let names: Vec<String> = sizes.iter().map(|known| known.size.clone()).collect();
        list_ui(ui, "Size", &old.instrument.size, &names, &mut chosen);
        if let Some(index) = chosen {
            new.instrument = sizes[index].clone();
        }
        let bows: Vec<_> =
            catalogue.bows.iter().filter(|known| known.0 == family).map(|known| &known.1).collect();
        let mut chosen = None;
        let names: Vec<String> = bows.iter().map(|bow| bow.name.clone()).collect();
        list_ui(ui, "Bow", &old.bow.name, &names, &mut chosen);
        if let Some(index) = chosen {
            new.bow = bows[index].clone();
        }
    });
}

fn player_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    ui.label(bold("Player"));
    Grid::new("figures").num_columns(2).show(ui, |ui| {
        let presets = &Catalogue::builtin().players;
        let like = presets.iter().find(|preset| {
            let named = crate::setup::Player { name: setup.player.name.clone(), ..(*preset).clone() };
            named == setup.player
        });
        let shown = like.map_or("own figures", |preset| preset.name.as_str()).to_owned();
        let names: Vec<String> = presets.iter().map(|preset| preset.name.clone()).collect();
        let mut chosen = None;
        list_ui(ui, "Like a player who is", &shown, &names, &mut chosen);
        if let Some(index) = chosen {
            // A name of the user's own stays.
            let own = !presets.iter().any(|preset| preset.name == setup.player.name);
            let name = if own { setup.player.name.clone() } else { presets[index].name.clone() };
            setup.player = crate::setup::Player { name, ..presets[index].clone() };
        }
        let label = ui.label("Name");
        let mut name = setup.player.name.clone();
        if ui
            .add(egui::TextEdit::singleline(&mut name).font(egui::TextStyle::Button).desired_width(150.0))
            .labelled_by(label.id)
            .changed()
        {
            setup.player.name = name;
            *dragged = Some(gesture(ui, "name"));
        }
        ui.end_row();
        let hair = setup.bow.hair_mm;
        let own_tip = setup.player.tip_mark_mm.unwrap_or(hair);
        let mut tip = own_tip;
        let mut reach = f64::from(setup.player.reach_half_steps);
        let measure = "Measure your own. The starting value:";
        let figures = [
            (
                "Playable hair",
                &mut setup.bow.hair_mm,
                100.0..=900.0,
                10.0,
                " cm",
                "violin 65 cm published, the others from memory",
            ),
            (
                "Balance point from the frog",
                &mut setup.bow.balance_mm,
                0.0..=hair,
                10.0,
                " cm",
                "violin and cello published, the others assumed",
            ),
            (
                "Weight of the bow",
                &mut setup.bow.mass_g,
                10.0..=500.0,
                1.0,
                " g",
                "published by makers, the double bass from memory",
            ),
            (
                "Slowest whole bow under control",
                &mut setup.player.slowest_whole_bow_s,
                0.5..=120.0,
                1.0,
                " s",
                "common practice: 6 s for beginners, 20 s trained; 10 s assumed",
            ),
            ("Fastest whole bow", &mut setup.player.fastest_whole_bow_s, 0.1..=10.0, 1.0, " s", "assumed"),
            (
                "Hair left out at the frog",
                &mut setup.player.frog_margin_mm,
                0.0..=hair / 2.0,
                10.0,
                " cm",
                "assumed",
            ),
            (
                "Hair left out at the tip",
                &mut setup.player.tip_margin_mm,
                0.0..=hair / 2.0,
                10.0,
                " cm",
                "assumed; a beginner's upper quarter is common practice",
            ),
            (
                "The player's own tip, from the frog",
                &mut tip,
                50.0..=hair,
                10.0,
                " cm",
                "none: the end of the hair. Where the forearm is open and the elbow not locked",
            ),
            (
                "Left hand reaches above the open string",
                &mut reach,
                0.0..=48.0,
                1.0,
                " half steps",
                "assumed; 7 is first position",
            ),
        ];
        for (name, value, range, per_unit, unit, source) in figures {
            let source = &format!("{measure} {source}.");
            figure_ui(ui, Figure { name, value, range, per_unit, unit, source }, dragged);
        }
        positions_ui(ui, setup);
        setup.player.reach_half_steps = reach.round().clamp(0.0, 255.0) as u8;
        if tip != own_tip {
            setup.player.tip_mark_mm = (tip < hair - 0.5).then_some(tip);
        }
        home_ui(ui, setup, dragged);
    });
}

/// Which positions of the left hand the player uses.
fn positions_ui(ui: &mut Ui, setup: &mut Setup) {
    let label = ui.label("Left hand");
    let now = &mut setup.player.positions;
    let list = ComboBox::from_id_salt("positions").selected_text(now.words()).show_ui(ui, |ui| {
        for other in Positions::of(setup.instrument.family) {
            ui.selectable_value(now, *other, other.words());
        }
    });
    list.response
        .labelled_by(label.id)
        .on_hover_text("Strings and fingers are chosen from these positions. A beginner's: assumed");
    ui.end_row();
}

/// Where the player's bow lives when nothing else speaks.
fn home_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    const HOVER: &str = "Where this bow lives when neither stroke nor dynamic say otherwise; without one the middle. \
        Schools differ on where beginners start: frog to middle, or the upper half. The teacher's choice.";
    let mut has = setup.player.home.is_some();
    if ui.checkbox(&mut has, "Home on the bow").on_hover_text(HOVER).changed() {
        setup.player.home = has.then_some((0.25, 0.75));
    }
    let Some((from, to)) = setup.player.home.as_mut() else {
        ui.weak("the middle");
        ui.end_row();
        return;
    };
    ui.horizontal(|ui| {
        for (name, value) in [("from", from), ("to", to)] {
            let label = ui.label(name);
            let mut percent = *value * 100.0;
            let drag =
                DragValue::new(&mut percent).range(0.0..=100.0).speed(0.5).max_decimals(0).suffix(" %");
            if ui.add(drag).labelled_by(label.id).on_hover_text(HOVER).changed() {
                *value = percent / 100.0;
                *dragged = Some(gesture(ui, ("home", name)));
            }
        }
    });
    ui.end_row();
}

fn figure_ui(ui: &mut Ui, figure: Figure<'_>, dragged: &mut Option<Gesture>) -> Response {
    let Figure { name, value, range, per_unit, unit, source } = figure;
    let label = ui.label(name).on_hover_text(source);
    let mut shown = *value / per_unit;
    let drag = DragValue::new(&mut shown)
        .range(range.start() / per_unit..=range.end() / per_unit)
        .speed(0.05)
        .min_decimals(0)
        .max_decimals(usize::from(unit != " half steps"))
        .suffix(unit);
    let response = ui.add(drag).labelled_by(label.id).on_hover_text(source);
    if response.changed() {
        *value = shown * per_unit;
        *dragged = Some(gesture(ui, name));
    }
    ui.end_row();
    response
}

fn school_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    let school = &mut setup.school;
    ui.label(bold("School"));
    ui.label("Slow practice");
    let hover = "Below the marked tempo. Common practice: slow practice is the same movement, only slower.";
    for (keeps, words) in [(true, "keeps the bow of every note"), (false, "keeps the speed of the bow")] {
        ui.radio_value(&mut school.slow_keeps_hair, keeps, words).on_hover_text(hover);
    }
    ui.add_space(4.0);
    ui.label("Two strings at once");
    let hover = "Teachers differ. The weight told for double stops follows this.";
    for (way, words) in [
        (WeightForTwo::SharedArm, "share the weight of one arm"),
        (WeightForTwo::SamePerString, "get the same weight each"),
    ] {
        ui.radio_value(&mut school.weight_for_two, way, words).on_hover_text(hover);
    }
    ui.add_space(4.0);
    ui.label("The arm on the way to the next string");
    let hover = "Where the bow does not stop. Common practice; schools differ.";
    for (way, words) in [
        (Approach::Gradual, "nears it before the change"),
        (Approach::AtTheChange, "holds its level until the change"),
    ] {
        ui.radio_value(&mut school.approach, way, words).on_hover_text(hover);
    }
    ui.add_space(6.0);
    Grid::new(Id::unique("dynamics")).num_columns(4).show(ui, |ui| {
        for heading in ["", "speed", "from the bridge", "weight"] {
            ui.weak(heading);
        }
        ui.end_row();
        let rows = school.speed_mm_per_s.iter_mut().zip(&mut school.sounding_point).zip(&mut school.weight_n);
        for (dynamic, ((speed, point), weight)) in Dynamic::ALL.into_iter().zip(rows) {
            let label = ui.label(dynamic.mark());
            for (kind, value, range, per_unit, unit, source) in [
                ("speed", speed, 1.0..=3000.0, 10.0, " cm/s", "assumed; that louder is faster is published"),
                (
                    "point",
                    point,
                    0.01..=0.5,
                    0.01,
                    " %",
                    "of the sounding length, from memory; that louder is nearer the bridge is published",
                ),
                (
                    "weight",
                    weight,
                    0.01..=20.0,
                    1.0,
                    " N",
                    "on a violin's D string, from memory; 0.5 to 1.5 N is published as normal",
                ),
            ] {
                let mut shown = *value / per_unit;
                let drag = DragValue::new(&mut shown)
                    .range(range.start() / per_unit..=range.end() / per_unit)
                    .speed(if kind == "weight" { 0.01 } else { 0.05 })
                    .max_decimals(if kind == "weight" { 2 } else { 1 })
                    .suffix(unit);
                if ui.add(drag).labelled_by(label.id).on_hover_text(source).changed() {
                    *value = shown * per_unit;
                    *dragged = Some(gesture(ui, (kind, dynamic)));
                }
            }
            ui.end_row();
        }
    });
    ui.add_space(6.0);
    Grid::new("lifts").num_columns(2).show(ui, |ui| {
        let figures = [
            ("Speed through the air", &mut school.air_speed_mm_per_s, 10.0..=10_000.0, 10.0, " cm/s"),
            ("Time to set the bow", &mut school.set_time_s, 0.0..=5.0, 1.0, " s"),
            ("Time for a retake without a rest", &mut school.retake_time_s, 0.0..=5.0, 1.0, " s"),
            ("Speeds differ from this ratio on", &mut school.tight_ratio, 1.01..=100.0, 1.0, " times"),
        ];
        for (name, value, range, per_unit, unit) in figures {
            let source = "The starting value is assumed; no measured one is published.";
            figure_ui(ui, Figure { name, value, range, per_unit, unit, source }, dragged);
        }
    });
}
