//! A version of the lesson kept to compare with, and what differs from it.

use std::sync::Arc;

use egui::{Frame, Label, Role, ScrollArea, Sense, Stroke, Ui, WidgetInfo};

use crate::{
    advice::{Difference, compare},
    analysis::{Analysis, Study},
    lesson::Lesson,
    picture::Ink,
    score::sentence_case,
};

use crate::desk::{
    command::{Action, Command},
    shell::top_bar::button,
    state::offer::{Version, serial},
    widgets::painter::colour,
    widgets::theme::{Look, bold},
    work::remedies::About,
};

/// What the kept version is called on the hair map.
pub const KEPT: &str = "kept version";

/// The kept version.
pub struct Kept {
    lesson: Lesson,
    analysis: Arc<Analysis>,
    /// The state of the lesson that was kept.
    of: u64,
    /// The state of the lesson that the differences belong to.
    compared: u64,
    differences: Vec<Difference>,
}

impl Kept {
    /// Keeps the present version.
    pub fn new(about: &About<'_>) -> Self {
        Self {
            lesson: about.lesson.clone(),
            analysis: Arc::clone(about.analysis),
            of: about.generation,
            compared: about.generation,
            differences: Vec::new(),
        }
    }

    /// Compares with the present version, where that has changed.
    pub fn turn(&mut self, about: &About<'_>) {
        if self.compared != about.generation {
            self.compared = about.generation;
            self.differences = compare(&Study::new(self.lesson.clone()), &Study::new(about.lesson.clone()));
        }
    }

    /// What differs, in the order of the music.
    pub fn differences(&self) -> &[Difference] {
        &self.differences
    }

    /// The version for drawings.
    pub fn version(&self) -> Version<'_> {
        Version { lesson: &self.lesson, analysis: &self.analysis, serial: serial(("kept", self.of)) }
    }
}

/// Draws the list of differences.
pub fn compare_ui(ui: &mut Ui, kept: &Kept, look: Look, commands: &mut Vec<Command>) {
    button(ui, Action::DropVersion, commands);
    ScrollArea::vertical().id_salt("differences").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        if kept.differences.is_empty() {
            ui.add(
                Label::new("No differences yet. Change the bowing, and what is different is listed here; the kept version is dashed on the hair map.")
                    .wrap(),
            );
        }
        for (index, difference) in kept.differences.iter().enumerate() {
            if difference_ui(ui, difference, index, look) {
                commands.push(Command::Difference(index));
            }
        }
    });
}

fn difference_ui(ui: &mut Ui, difference: &Difference, index: usize, look: Look) -> bool {
    let shown = Frame::new().inner_margin(5.0).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 0.0;
        let place = bold(sentence_case(&difference.place));
        ui.add(Label::new(place).truncate().selectable(false));
        ui.add(Label::new(&difference.words).wrap().selectable(false));
    });
    let rect = shown.response.rect;
    let response = ui
        .interact(rect, ui.scope_id().with(("difference", index)), Sense::click())
        .on_hover_cursor(egui::CursorIcon::PointingHand);
    response.widget_info(|| {
        WidgetInfo::labeled(Role::Link, true, format!("{}, {}", difference.place, difference.words))
    });
    if response.hovered() {
        let edge = Stroke::new(1.0, colour(look.theme(), Ink::Rule));
        ui.painter().rect_stroke(rect, 5.0, edge, egui::StrokeKind::Inside);
    }
    response.clicked()
}
