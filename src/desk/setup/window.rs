//! The set-up window: three questions about a pupil, the players a teacher keeps, and behind them all
//! figures of player, arm and school.
//!
//! Every change is one undoable edit of the set-up; nothing here is kept in a lesson otherwise.

use std::path::Path;

use egui::{Align2, CollapsingHeader, ComboBox, Context, Grid, ScrollArea, Ui, Window};
use strum::VariantArray as _;

use crate::{
    desk::{
        command::{Command, Wish},
        state::history::Gesture,
        widgets::{
            controls::gesture,
            theme::{Look, bold},
        },
    },
    exchange::profiles::{Profile, Profiles},
    lesson::{Edit, Lesson},
    setup::{Approach, Positions, Section, Setup, WeightForTwo},
};

use super::{
    arm,
    dynamics::{DynamicsView, dynamics_ui},
    figure::section_ui,
    pupil::pupil_ui,
    rules::rules_ui,
};

/// Width of the window at most, as a share of what it lies on.
const WIDE: f32 = 0.42;

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
        let content = ctx.content_rect();
        let tallest = (content.height() - 110.0).max(200.0);
        // At the right, so that the music stays in view while it changes.
        let widest = (WIDE * content.width()).max(200.0);
        Window::new("Instrument and player")
            .open(open)
            .resizable(false)
            .collapsible(false)
            .anchor(Align2::RIGHT_TOP, [-8.0, 44.0])
            .show(ctx, |ui| {
                // Read by the hand at the machine, not from the back of a room.
                ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
                let area = ScrollArea::both().max_width(widest).max_height(tallest);
                area.min_scrolled_height(tallest).min_scrolled_width(widest).show(ui, |ui| {
                    pupil_ui(ui, old, &mut new, &mut dragged);
                    ui.add_space(8.0);
                    self.kept_ui(ui, input.folder, &mut new);
                    ui.add_space(8.0);
                    CollapsingHeader::new("All figures").show(ui, |ui| {
                        let (curves, look) = (&mut self.dynamics, input.look);
                        folded(ui, "Player", |ui| player_ui(ui, &mut new, &mut dragged));
                        folded(ui, "Arm and hold", |ui| arm::arm_ui(ui, &mut new, &mut dragged));
                        folded(ui, "School", |ui| school_ui(ui, &mut new, curves, look, &mut dragged));
                        rules_ui(ui, &mut new, &mut dragged);
                    });
                    // Clear of the scroll bar.
                    ui.add_space(10.0);
                });
            });
        // Compare before writing: an untouched window must not make a step to undo.
        if new != *old {
            commands.push(Command::Edit(Wish::new(move |_| Ok(Edit::Setup(Box::new(new)))), dragged));
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

/// A part that is opened by a click.
fn folded(ui: &mut Ui, name: &str, inside: impl FnOnce(&mut Ui)) {
    CollapsingHeader::new(name).show(ui, inside);
}

fn player_ui(ui: &mut Ui, setup: &mut Setup, dragged: &mut Option<Gesture>) {
    Grid::new("figures").num_columns(2).show(ui, |ui| {
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
    dynamics_ui(ui, setup, own, look, dragged);
    ui.add_space(6.0);
    let school = &mut setup.school;
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
    Grid::new("lifts").num_columns(2).show(ui, |ui| {
        section_ui(ui, setup, Section::Lifts, false, dragged);
    });
    egui::CollapsingHeader::new("What the plan weighs").show(ui, |ui| {
        Grid::new("plan").num_columns(2).show(ui, |ui| {
            section_ui(ui, setup, Section::Plan, false, dragged);
        });
    });
    egui::CollapsingHeader::new("What speaks against a direction").show(ui, |ui| {
        Grid::new("directions").num_columns(2).show(ui, |ui| {
            section_ui(ui, setup, Section::Directions, false, dragged);
        });
    });
}
