//! What to know before playing: a list that leads to the spots. One finding is open at a time and
//! shows why it is so and what can be done.

use egui::{Frame, Label, RichText, ScrollArea, Ui};

use crate::{
    analysis::{Analysis, StudyId},
    bowing::{Verdict, spots},
    desk::{
        command::Command,
        state::findings::FindingsView,
        widgets::{
            controls::fold_ui,
            painter::colour,
            rows::uneven_rows_ui,
            signs::{count_ui, count_words},
            theme::bold,
        },
    },
    lesson::change,
    picture::Ink,
    score::EventId,
};

use super::{card::card_ui, compare::compare_ui, input::FindingsInput, row::row_ui};

/// Draws the list. Gives the remedy that is pointed at.
pub fn findings_ui(
    ui: &mut Ui,
    input: &FindingsInput<'_>,
    view: &mut FindingsView,
    commands: &mut Vec<Command>,
) -> Option<StudyId> {
    heading_ui(ui, input, view);
    view.pointed_at = false;
    if let Some(kept) = input.kept.filter(|_| view.compared) {
        compare_ui(ui, kept, input.now.look, commands);
        return None;
    }
    let analysis = input.now.analysis();
    let (first, notices) = view.order(analysis);
    let reveal = std::mem::take(&mut view.reveal);
    let mut pointed = None;
    ScrollArea::vertical().id_salt("findings").auto_shrink([false, false]).show(ui, |ui| {
        ui.spacing_mut().item_spacing.y = 2.0;
        nothing_ui(ui, analysis);
        let open = view.open.and_then(|open| open.index(analysis));
        let mut list = |ui: &mut Ui, view: &mut FindingsView, indices: &[usize]| {
            for &index in indices {
                let is_open = open == Some(index);
                let response = if is_open {
                    let (response, offer) = card_ui(ui, input, view, index, commands);
                    pointed = offer;
                    response
                } else {
                    row_ui(ui, input, index)
                };
                if is_open && reveal {
                    response.scroll_to_me(Some(egui::Align::TOP));
                }
                if response.clicked() {
                    commands.push(if is_open { Command::CloseFinding } else { Command::Finding(index) });
                }
            }
        };
        list(ui, view, &first);
        if !notices.is_empty() {
            let shown = view.shows_notices(&notices, analysis);
            ui.add_space(6.0);
            let words = count_words(Verdict::Notice, spots(&analysis.findings.told, Verdict::Notice));
            if fold_ui(ui, &words, shown, input.now.look) {
                view.notices = Some(!shown);
            }
            if shown {
                list(ui, view, &notices);
            }
        }
        silenced_ui(ui, input, view, commands);
        assumed_ui(ui, analysis);
    });
    pointed
}

/// Where there is nothing to tell, it is said.
fn nothing_ui(ui: &mut Ui, analysis: &Analysis) {
    match (analysis.findings.told.is_empty(), analysis.findings.silenced.is_empty()) {
        (false, _) => {}
        (true, true) => {
            ui.label("Everything can be played as marked.");
        }
        (true, false) => {
            ui.label("Nothing else to tell.");
        }
    }
}

fn assumed_ui(ui: &mut Ui, analysis: &Analysis) {
    if analysis.findings.notices.is_empty() {
        return;
    }
    ui.add_space(8.0);
    ui.label(bold("Assumed"));
    for notice in &analysis.findings.notices {
        ui.add(Label::new(RichText::new(notice).weak()).wrap());
    }
}

fn heading_ui(ui: &mut Ui, input: &FindingsInput<'_>, view: &mut FindingsView) {
    let ink = colour(input.now.look.theme(), Ink::Warn);
    ui.horizontal_wrapped(|ui| {
        let compared = view.compared && input.kept.is_some();
        for (by_time, words) in [(false, "Worst first"), (true, "In order")] {
            if ui.selectable_label(!compared && view.by_time == by_time, words).clicked() {
                (view.by_time, view.compared) = (by_time, false);
            }
        }
        if let Some(kept) = input.kept {
            let words = match kept.differences().len() {
                0 => "Compared".to_owned(),
                n => format!("Compared {n}"),
            };
            let tip = "What differs from the kept version";
            if ui.selectable_label(compared, words).on_hover_text(tip).clicked() {
                view.compared = true;
            }
        }
        for verdict in [Verdict::Impossible, Verdict::RunsOut, Verdict::Tight, Verdict::Notice] {
            let count = spots(&input.now.analysis().findings.told, verdict);
            if count > 0 {
                count_ui(ui, verdict, count, ink);
            }
        }
    });
}

/// What is not told, with the reasons.
fn silenced_ui(ui: &mut Ui, input: &FindingsInput<'_>, view: &mut FindingsView, commands: &mut Vec<Command>) {
    let silenced = &input.now.analysis().findings.silenced;
    if silenced.is_empty() {
        return;
    }
    ui.add_space(6.0);
    if fold_ui(ui, &format!("{} silenced", silenced.len()), view.silenced, input.now.look) {
        view.silenced = !view.silenced;
    }
    if !view.silenced {
        return;
    }
    uneven_rows_ui(ui, "silenced", silenced.len(), |ui, index| {
        let (finding, reason) = &silenced[index];
        Frame::new().inner_margin(5.0).show(ui, |ui| {
            ui.add(Label::new(finding.title()).wrap());
            if !reason.is_empty() {
                ui.add(Label::new(RichText::new(reason).weak()).wrap());
            }
            if ui.small_button("Tell again").clicked() {
                let places: Vec<EventId> = finding.events().collect();
                let id = finding.kind.id();
                commands.push(Command::edit(move |lesson| change::silence(lesson, id, &places, None)));
            }
        });
    });
}
