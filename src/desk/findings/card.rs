//! The open finding: why it is so, where else, and what can be done.

use egui::{Frame, Label, Response, RichText, Stroke, Ui};

use crate::{
    analysis::StudyId,
    bowing::Finding,
    desk::{
        command::{Command, Page},
        state::findings::FindingsView,
        widgets::painter::colour,
    },
    lesson::{Lesson, change},
    picture::Ink,
    score::EventId,
};

use super::{input::FindingsInput, remedies::remedies_ui, row::head_ui};

/// Further places listed before "and … more". Assumed: two lines of the list.
const PLACES: usize = 16;

/// Draws the open finding. Gives what answers to clicks on it, and the offer that is pointed at.
pub fn card_ui(
    ui: &mut Ui,
    input: &FindingsInput<'_>,
    view: &mut FindingsView,
    index: usize,
    commands: &mut Vec<Command>,
) -> (Response, Option<StudyId>) {
    let finding = &input.now.analysis().findings.told[index];
    let theme = input.now.look.theme();
    let frame = Frame::new()
        .inner_margin(5.0)
        .corner_radius(5.0)
        .fill(colour(theme, Ink::Paper))
        .stroke(Stroke::new(1.0, colour(theme, Ink::Plan)));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 4.0;
        let head = head_ui(ui, input, finding, true);
        // The headline is read by the class, the rest by the hand that chooses what helps.
        ui.style_mut().override_text_style = Some(egui::TextStyle::Button);
        ui.add(Label::new(&finding.what).wrap());
        ui.add(Label::new(RichText::new(&finding.why).weak()).wrap());
        places_ui(ui, input, view, index, commands);
        silence_ui(ui, finding, view, commands);
        let tip = "What it is, what helps, before and after, a table to fill in: on the handout";
        if ui.small_button("A page for the pupil").on_hover_text(tip).clicked() {
            commands.push(Command::Page(Page::Finding(index)));
        }
        let (pointed, silence) = remedies_ui(ui, input, commands);
        if silence {
            view.reason.get_or_insert_default();
        }
        view.pointed_at = ui.rect_contains_pointer(ui.min_rect());
        (head, pointed)
    });
    let (head, pointed) = shown.inner;
    (Response { rect: shown.response.rect, ..head }, pointed)
}

/// "Also at bars 12, 16, 20", each leading there.
fn places_ui(
    ui: &mut Ui,
    input: &FindingsInput<'_>,
    view: &mut FindingsView,
    index: usize,
    commands: &mut Vec<Command>,
) {
    let finding = &input.now.analysis().findings.told[index];
    if finding.more.is_empty() {
        return;
    }
    ui.horizontal_wrapped(|ui| {
        ui.spacing_mut().item_spacing = egui::vec2(4.0, 1.0);
        ui.weak(if finding.more.len() == 1 { "Also at bar" } else { "Also at bars" });
        let most = if view.all_places { usize::MAX } else { PLACES };
        for (nth, spot) in finding.more.iter().enumerate().take(most) {
            let name = spot.place.bar.as_ref().map_or_else(|| "?".to_owned(), ToString::to_string);
            if ui.link(name).on_hover_text(format!("Go to {}", spot.place)).clicked() {
                commands.push(Command::Place(index, nth));
            }
        }
        let hidden = finding.more.len().saturating_sub(most);
        if hidden > 0 && ui.link(format!("and {hidden} more")).clicked() {
            view.all_places = true;
        }
    });
}

/// The small field in which a finding is silenced with a reason.
fn silence_ui(ui: &mut Ui, finding: &Finding, view: &mut FindingsView, commands: &mut Vec<Command>) {
    let Some(reason) = &mut view.reason else { return };
    let label = ui.weak("Why it need not be told");
    let field = ui.add(egui::TextEdit::singleline(reason).desired_width(f32::INFINITY)).labelled_by(label.id);
    if !field.has_focus() && !field.lost_focus() && reason.is_empty() {
        field.request_focus();
    }
    let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
    let mut done = false;
    ui.horizontal(|ui| {
        let mut silence = |events: &[EventId]| {
            let (id, events, reason) = (finding.kind.id(), events.to_vec(), reason.clone());
            let edit = move |lesson: &Lesson| change::silence(lesson, id, &events, Some(&reason));
            commands.push(Command::edit(edit));
            done = true;
        };
        let places: Vec<EventId> = finding.events().collect();
        let all = match places.len() {
            1 => "Silence".to_owned(),
            count => format!("Silence at all {count} places"),
        };
        if ui.button(all).clicked() || entered {
            silence(&places);
        }
        if places.len() > 1 && ui.button("Only here").clicked() {
            silence(&places[..1]);
        }
        done |= ui.button("Cancel").clicked();
    });
    if done {
        view.reason = None;
    }
}
