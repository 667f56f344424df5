//! What a teacher would write over the notes, as a list that goes along with the music: what comes now
//! with its sentence and its reason, what comes next, and the rest in a line each.

use egui::{Align, Frame, Label, ScrollArea, TextStyle, Ui};
use strum::VariantArray as _;

use crate::{
    bowing::{Density, PencilMark},
    desk::{
        command::{Action, Command},
        state::{
            now::Now,
            pencil::{Listed, PencilView},
        },
        widgets::{
            controls::{choice, fold_ui},
            rows::{rows_ui, uneven_rows_ui},
        },
    },
    lesson::change,
};

use super::{
    card::{next_ui, now_ui},
    row::{row_height, row_ui},
};

/// Draws the list of the marks of a density.
pub fn pencil_ui(
    ui: &mut Ui,
    now: &Now,
    density: Density,
    view: &mut PencilView,
    commands: &mut Vec<Command>,
) {
    density_ui(ui, density, commands);
    let all = &now.study.pencil().marks;
    let listed = Listed::new(all, density, now.quarters());
    let next = listed.now.end;
    let top = listed.marks.get(listed.now.start).map(|&mark| (all[mark].topic, all[mark].event));
    let top = top.map(|which| (which, listed.marks.len()));
    let follow = view.followed != top;
    view.followed = top;
    ScrollArea::vertical().id_salt("pencil").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        nothing_ui(ui, density, &listed, all);
        let mut row = |ui: &mut Ui, nth: usize| {
            let index = listed.marks[nth];
            let mark = &all[index];
            let response = if listed.now.contains(&nth) {
                now_ui(ui, now, mark, view, commands)
            } else if nth == next {
                next_ui(ui, mark)
            } else {
                row_ui(ui, mark, now.look)
            };
            if follow && nth == listed.now.start {
                response.scroll_to_me(Some(Align::TOP));
            }
            if response.clicked() {
                commands.push(Command::Mark(index));
            }
        };
        let height = row_height(ui);
        let after = (next + 1).min(listed.marks.len());
        rows_ui(ui, height, 0..listed.now.start, &mut row);
        (listed.now.start..after).for_each(|nth| row(ui, nth));
        rows_ui(ui, height, after..listed.marks.len(), &mut row);
        rubbed_out_ui(ui, now, view, commands);
    });
}

/// How many of the marks there are, here, over the staff and on the pages.
fn density_ui(ui: &mut Ui, density: Density, commands: &mut Vec<Command>) {
    let mut chosen = density;
    let shown = ui.horizontal(|ui| {
        ui.style_mut().override_text_style = Some(TextStyle::Button);
        let width = 150.0;
        choice(ui, "density", "Written", density.words().to_owned(), width, |ui| {
            for &density in Density::VARIANTS {
                ui.selectable_value(&mut chosen, density, density.words());
            }
        });
    });
    shown.response.on_hover_text(Action::NextDensity.entry().hover());
    if chosen != density {
        commands.push(Command::Pencil(chosen));
    }
}

/// Where the list is empty, it says why.
fn nothing_ui(ui: &mut Ui, density: Density, listed: &Listed, all: &[PencilMark]) {
    if !listed.marks.is_empty() {
        return;
    }
    let words = match (density, all.len()) {
        (_, 0) => "There is nothing to write over these notes.".to_owned(),
        (Density::None, 1) => "One mark could be written over the staff.".to_owned(),
        (Density::None, count) => format!("{count} marks could be written over the staff."),
        _ => "Nothing here is needed so much.".to_owned(),
    };
    ui.add(Label::new(words).wrap());
}

/// What the teacher has rubbed out, to be written again.
fn rubbed_out_ui(ui: &mut Ui, now: &Now, view: &mut PencilView, commands: &mut Vec<Command>) {
    let rubbed_out = &now.study.pencil().rubbed_out;
    if rubbed_out.is_empty() {
        return;
    }
    ui.add_space(6.0);
    if fold_ui(ui, &format!("{} rubbed out", rubbed_out.len()), view.rubbed_out, now.look) {
        view.rubbed_out = !view.rubbed_out;
    }
    if !view.rubbed_out {
        return;
    }
    uneven_rows_ui(ui, "rubbed out", rubbed_out.len(), |ui, index| {
        let mark = &rubbed_out[index];
        Frame::new().inner_margin(5.0).show(ui, |ui| {
            ui.add(Label::new(mark.title()).wrap());
            if ui.small_button("Write again").clicked() {
                let (id, event) = (mark.topic.id(), mark.event);
                commands.push(Command::edit(move |lesson| change::pencil(lesson, id, event, None)));
            }
        });
    });
}
