//! What can be done about the open finding: a list to look at by pointing and to take by a click.

use egui::{Color32, Frame, Label, Response, RichText, Role, Sense, Stroke, Ui, WidgetInfo};

use crate::{
    advice::Remedy,
    analysis::StudyId,
    desk::{
        command::Command,
        widgets::{
            painter::colour,
            signs::{HelpSign, help_sign, sign_ui, worse_sign},
            theme::{Look, bold},
        },
    },
    picture::Ink,
};

use super::input::FindingsInput;

/// Draws the remedies. Gives the one that is pointed at or has the focus, and whether the finding is
/// to be silenced instead.
pub fn remedies_ui(
    ui: &mut Ui,
    input: &FindingsInput<'_>,
    commands: &mut Vec<Command>,
) -> (Option<StudyId>, bool) {
    ui.add_space(2.0);
    let (remedies, tried, is_done) =
        input.advice.map_or((&[][..], (0, 0), false), |a| (a.remedies.as_slice(), a.tried, a.is_done));
    let mut silence = false;
    ui.horizontal(|ui| {
        ui.label(bold("What helps"));
        let words = match (is_done, remedies.is_empty()) {
            (true, true) => "nothing simple was found".to_owned(),
            (true, false) if !remedies.iter().any(Remedy::cures) => {
                "nothing cures it; the least bad first".to_owned()
            }
            (true, false) => "choose one".to_owned(),
            (false, _) if tried.1 == 0 => "looking…".to_owned(),
            (false, _) => format!("tried {} of {}", tried.0, tried.1),
        };
        ui.with_layout(egui::Layout::right_to_left(egui::Align::Center), |ui| {
            let tip = "Do not tell this here any more; it can be told again";
            silence = ui.small_button("Silence…").on_hover_text(tip).clicked();
            ui.with_layout(egui::Layout::left_to_right(egui::Align::Center), |ui| {
                ui.add(Label::new(RichText::new(words).weak()).truncate());
            });
        });
    });
    let mut pointed = None;
    for remedy in remedies {
        let id = remedy.study.id();
        let response = remedy_ui(ui, remedy, input.chosen == Some(id), input.now.look);
        if response.hovered() || response.has_focus() {
            pointed = Some(id);
        }
        if response.clicked() {
            commands.push(Command::Take(id));
        }
    }
    (pointed, silence)
}

fn remedy_ui(ui: &mut Ui, remedy: &Remedy, chosen: bool, look: Look) -> Response {
    let theme = look.theme();
    let (good, warn) = (colour(theme, Ink::Level), colour(theme, Ink::Warn));
    let help = if remedy.cures() { HelpSign::Cures } else { HelpSign::Helps };
    let worse = !remedy.new_findings.is_empty();
    let shown = Frame::new().inner_margin(4.0).show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.horizontal_top(|ui| {
            sign_ui(ui, |painter, rect| help_sign(painter, rect, help, good));
            ui.vertical(|ui| {
                ui.spacing_mut().item_spacing.y = 0.0;
                ui.add(Label::new(&remedy.trial.words).wrap().selectable(false));
                ui.horizontal_top(|ui| {
                    ui.spacing_mut().item_spacing.x = 3.0;
                    if worse {
                        sign_ui(ui, |painter, rect| worse_sign(painter, rect, warn));
                    }
                    ui.add(Label::new(RichText::new(&remedy.effect).weak()).wrap().selectable(false));
                });
            });
        });
    });
    let rect = shown.response.rect;
    let id = ui.scope_id().with(("remedy", remedy.study.id()));
    let response = ui.interact(rect, id, Sense::click()).on_hover_cursor(egui::CursorIcon::PointingHand);
    response.widget_info(|| {
        let words = format!("{}, {}, {}", remedy.trial.words, help.words(), remedy.effect);
        WidgetInfo::selected(Role::Button, true, chosen, words)
    });
    let pointed = response.hovered() || response.has_focus() || chosen;
    let ink = if pointed { colour(theme, Ink::Plan) } else { colour(theme, Ink::Rule) };
    let width = if pointed { 1.5 } else { 1.0 };
    ui.painter().rect(rect, 4.0, Color32::TRANSPARENT, Stroke::new(width, ink), egui::StrokeKind::Inside);
    if chosen {
        response.scroll_to_me(None);
    }
    let worse: Vec<&str> = remedy.new_findings.iter().map(String::as_str).collect();
    if worse.is_empty() { response } else { response.on_hover_text(format!("New: {}", worse.join("; "))) }
}
