//! The set-up window: three questions about a pupil, the pupils of the lesson book, and behind them all
//! figures of player, arm and school.
//!
//! Every change is one undoable edit of the set-up; nothing here is kept in a lesson otherwise.

use egui::{Align2, CollapsingHeader, ComboBox, Context, Grid, ScrollArea, Ui, Window};
use strum::VariantArray as _;

use crate::{
    desk::{
        command::{Action, BookWish, Command, Wish},
        file::book::Read,
        state::history::Gesture,
        widgets::{
            controls::gesture,
            theme::{Look, bold},
        },
    },
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
    /// The curves by dynamic.
    dynamics: DynamicsView,
}

/// What the window reads.
pub struct SetupInput<'a> {
    /// The lesson.
    pub lesson: &'a Lesson,
    /// The lesson book, or why it cannot be read; none while it is read.
    pub book: Option<Result<&'a Read, &'a str>>,
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
                    self.kept_ui(ui, input, &mut new, commands);
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

    /// The pupils of the lesson book whose figures are kept.
    fn kept_ui(&self, ui: &mut Ui, input: &SetupInput<'_>, setup: &mut Setup, commands: &mut Vec<Command>) {
        ui.label(bold("Pupils"));
        match input.book {
            None => drop(ui.weak("The lesson book is not read")),
            Some(Err(why)) => drop(ui.add(egui::Label::new(why).wrap())),
            Some(Ok(read)) => {
                ui.horizontal_wrapped(|ui| {
                    for kept in &read.book.pupils {
                        let Some(theirs) = kept.pupil.onto(setup) else { continue };
                        let shown = ui.selectable_label(*setup == theirs, &kept.pupil.name);
                        let hover = "Plans for this pupil: instrument, bow, hold and figures";
                        if shown.on_hover_text(hover).clicked() {
                            *setup = theirs;
                        }
                    }
                });
                keep_ui(ui, read, commands);
            }
        }
        let entry = Action::Book.entry();
        if ui.button(entry.words).on_hover_text(entry.hover()).clicked() {
            commands.push(Command::Do(Action::Book));
        }
    }
}

/// Keeps the figures with a pupil of the book.
fn keep_ui(ui: &mut Ui, read: &Read, commands: &mut Vec<Command>) {
    if read.book.pupils.is_empty() {
        ui.weak("None yet; the lesson book adds them");
        return;
    }
    let menu = ui.menu_button("Keep these figures for…", |ui| {
        for kept in &read.book.pupils {
            if ui.button(&kept.pupil.name).clicked() {
                commands.push(Command::Book(BookWish::KeepFigures(kept.file.clone())));
                ui.close();
            }
        }
    });
    menu.response.on_hover_text("Instrument, bow, hold and figures, for other lessons with this pupil");
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
