//! A figure of the set-up as a number to type or drag; what it says of itself comes from the table in
//! `setup`.

use egui::{DragValue, Response, Ui};

use crate::{
    score::sentence_case,
    setup::{Figure, Origin, Section, Setup},
};

use crate::desk::{state::history::Gesture, widgets::controls::gesture};

/// What is said of a figure under the pointer.
fn hover(figure: &Figure<'_>) -> String {
    let source = format!("Starting value: {}.", figure.source);
    if figure.what.is_empty() { source } else { format!("{}. {source}", sentence_case(figure.what)) }
}

/// The number alone, named by `label`.
pub fn number_ui(ui: &mut Ui, label: &Response, figure: &mut Figure<'_>, dragged: &mut Option<Gesture>) {
    let unit = figure.unit;
    let mut shown = figure.value() / unit.per_shown;
    let drag = DragValue::new(&mut shown)
        .range(figure.least / unit.per_shown..=figure.most / unit.per_shown)
        .speed(unit.step)
        .max_decimals(unit.decimals)
        .suffix(unit.shown);
    if ui.add(drag).labelled_by(label.id).on_hover_text(hover(figure)).changed() {
        figure.set(shown * unit.per_shown);
        *dragged = Some(gesture(ui, (figure.section, figure.name)));
    }
}

/// The name and the number.
pub fn figure_ui(ui: &mut Ui, figure: &mut Figure<'_>, dragged: &mut Option<Gesture>) {
    let label = ui.label(sentence_case(figure.name)).on_hover_text(hover(figure));
    number_ui(ui, &label, figure, dragged);
}

/// The figures of a section, one a line; in the third column of the grid, if it has one, where each
/// value comes from. A click on "measured" goes back to the usual value.
pub fn section_ui(
    ui: &mut Ui,
    setup: &mut Setup,
    section: Section,
    origins: bool,
    dragged: &mut Option<Gesture>,
) {
    for mut figure in setup.section_mut(section) {
        figure_ui(ui, &mut figure, dragged);
        if origins {
            let origin = figure.origin();
            match figure.usual.filter(|_| origin == Origin::Measured) {
                Some(usual) => {
                    if ui.small_button(origin.word()).on_hover_text("Back to the usual value").clicked() {
                        figure.set(usual);
                    }
                }
                None => {
                    ui.weak(origin.word());
                }
            }
        }
        ui.end_row();
    }
}
