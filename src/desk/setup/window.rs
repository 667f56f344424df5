//! The set-up window: instrument, bow, player, school, and the players a teacher keeps.
//!
//! Every change is one undoable edit of the set-up; nothing here is kept in a lesson otherwise.

use std::path::Path;

use egui::{Align2, ComboBox, Context, Grid, ScrollArea, Ui, Window};
use strum::VariantArray as _;

use crate::{
    desk::{
        command::Command,
        state::history::Gesture,
        widgets::{
            controls::gesture,
            theme::{Look, bold},
        },
    },
    exchange::profiles::{Profile, Profiles},
    lesson::{Edit, Lesson},
    setup::{Approach, Catalogue, Family, Positions, Section, Setup, WeightForTwo},
};

use super::{
    arm,
    dynamics::{DynamicsView, dynamics_ui},
    figure::section_ui,
    rules::rules_ui,
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
    /// The curves by dynamic.
    dynamics: DynamicsView,
}

/// What the window reads.
pub struct SetupInput<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// Where players are kept, if anywhere.
    pub folder: Option<&'a Path>,
    /// Colours.
    pub look: Look,
}

impl SetupWindow {
    /// Shows the window.
    pub fn show(
        &mut self,
        ctx: &Context,
        input: &SetupInput<'_>,
        open: &mut bool,
        commands: &mut Vec<Command>,
    ) {
        if !*open {
            // Read again the next time: another window may have changed it.
            *self = Self::default();
            return;
        }
        let old = &input.lesson.setup;
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
                            self.kept_ui(ui, input.folder, &mut new);
                        });
                        ui.add_space(18.0);
                        ui.vertical(|ui| {
                            let curves = &mut self.dynamics;
                            school_ui(ui, &mut new, curves, input.look, &mut dragged);
                        });
                        ui.add_space(18.0);
                        ui.vertical(|ui| arm::arm_ui(ui, &mut new, &mut dragged));
                        // Clear of the scroll bar.
                        ui.add_space(10.0);
                    });
                    ui.add_space(8.0);
                    rules_ui(ui, &mut new, &mut dragged);
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
            *new = old.clone().on(other);
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
        section_ui(ui, setup, Section::Bow, false, dragged);
        section_ui(ui, setup, Section::Player, false, dragged);
        positions_ui(ui, setup);
        home_ui(ui, setup, dragged);
    });
}

/// Which positions of the left hand the player uses.
fn positions_ui(ui: &mut Ui, setup: &mut Setup) {
    let label = ui.label("Left hand");
    let now = &mut setup.player.positions;
    let list = ComboBox::from_id_salt("positions").selected_text(now.words()).show_ui(ui, |ui| {
        for other in Positions::of(setup.instrument.family) {
            ui.selectable_value(now, other, other.words());
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
    ui.weak(if has { "" } else { "the middle" });
    ui.end_row();
    section_ui(ui, setup, Section::Home, false, dragged);
}

fn school_ui(
    ui: &mut Ui,
    setup: &mut Setup,
    own: &mut DynamicsView,
    look: Look,
    dragged: &mut Option<Gesture>,
) {
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
    for way in WeightForTwo::VARIANTS {
        ui.radio_value(&mut school.weight_for_two, *way, way.words()).on_hover_text(hover);
    }
    ui.add_space(4.0);
    ui.label("The arm on the way to the next string");
    let hover = "Where the bow does not stop. Common practice; schools differ.";
    for way in Approach::VARIANTS {
        ui.radio_value(&mut school.approach, *way, way.words()).on_hover_text(hover);
    }
    ui.add_space(6.0);
    dynamics_ui(ui, setup, own, look, dragged);
    ui.add_space(6.0);
    Grid::new("lifts").num_columns(2).show(ui, |ui| {
        section_ui(ui, setup, Section::Lifts, false, dragged);
    });
    egui::CollapsingHeader::new("What the plan weighs").show(ui, |ui| {
        Grid::new("plan").num_columns(2).show(ui, |ui| {
            section_ui(ui, setup, Section::Plan, false, dragged);
        });
    });
}
