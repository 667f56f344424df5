//! The marks that come now and next: what they say, why, and what the teacher does about them.

use egui::{Frame, Label, Response, RichText, Sense, Stroke, TextStyle, Ui};

use crate::{
    bowing::PencilMark,
    desk::{
        command::Command,
        state::{now::Now, pencil::PencilView},
        widgets::painter::colour,
    },
    lesson::{Lesson, change},
    picture::Ink,
};

use super::row::{named, title};

/// The mark that holds now: sentence, reason, and other words or none in its place.
pub fn now_ui(
    ui: &mut Ui,
    now: &Now,
    mark: &PencilMark,
    view: &mut PencilView,
    commands: &mut Vec<Command>,
) -> Response {
    let theme = now.look.theme();
    let frame = Frame::new()
        .inner_margin(5.0)
        .corner_radius(5.0)
        .fill(colour(theme, Ink::Paper))
        .stroke(Stroke::new(1.0, colour(theme, Ink::Pencil)));
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 4.0;
        let head = head_ui(ui, mark, true);
        ui.style_mut().override_text_style = Some(TextStyle::Button);
        ui.add(Label::new(&mark.sentence).wrap());
        ui.add(Label::new(RichText::new(&mark.why).weak()).wrap());
        change_ui(ui, now, mark, view, commands);
        head
    });
    let rect = shown.response.rect;
    if now.bow.note == Some(mark.note) {
        // The playhead is on its note.
        let ink = colour(theme, Ink::Now);
        ui.painter().vline(rect.left() + 1.0, rect.y_range().shrink(4.0), Stroke::new(2.0, ink));
    }
    Response { rect, ..shown.inner }
}

/// The mark that comes next, with its sentence.
pub fn next_ui(ui: &mut Ui, mark: &PencilMark) -> Response {
    let frame = Frame::new().inner_margin(5.0);
    let shown = frame.show(ui, |ui| {
        ui.set_width(ui.available_width());
        ui.spacing_mut().item_spacing.y = 2.0;
        let head = head_ui(ui, mark, false);
        ui.style_mut().override_text_style = Some(TextStyle::Button);
        ui.add(Label::new(RichText::new(&mark.sentence).weak()).wrap());
        head
    });
    shown.inner
}

fn head_ui(ui: &mut Ui, mark: &PencilMark, is_now: bool) -> Response {
    let label = ui.add(Label::new(title(mark)).wrap().selectable(false));
    let id = ui.scope_id().with(("pencil", mark.topic, mark.event));
    named(ui.interact(label.rect.expand(4.0), id, Sense::click()), mark, is_now)
}

/// Rub out, other words, or as it was.
fn change_ui(ui: &mut Ui, now: &Now, mark: &PencilMark, view: &mut PencilView, commands: &mut Vec<Command>) {
    let which = (mark.topic, mark.event);
    let mut change = |words: Option<&str>| {
        let (id, event, words) = (mark.topic.id(), mark.event, words.map(str::to_owned));
        let edit = move |lesson: &Lesson| change::pencil(lesson, id, event, words.as_deref());
        commands.push(Command::edit(edit));
    };
    if let Some(words) = view.words.as_mut().filter(|words| words.0 == which).map(|words| &mut words.1) {
        let label = ui.weak("Your words in its place");
        let field =
            ui.add(egui::TextEdit::singleline(words).desired_width(f32::INFINITY)).labelled_by(label.id);
        if !field.has_focus() && !field.lost_focus() {
            field.request_focus();
        }
        let entered = field.lost_focus() && ui.input(|input| input.key_pressed(egui::Key::Enter));
        let mut done = field.lost_focus() && !entered;
        ui.horizontal(|ui| {
            if ui.button("Use these words").clicked() || entered {
                change(Some(words));
                done = true;
            }
            done |= ui.button("Cancel").clicked();
        });
        if done {
            view.words = None;
        }
        return;
    }
    ui.horizontal(|ui| {
        let tip = "It is no longer written, here and on the pages; the lesson remembers it";
        if ui.small_button("Rub out").on_hover_text(tip).clicked() {
            change(Some(""));
        }
        if ui.small_button("Other words…").on_hover_text("Your own words in its place").clicked() {
            view.words = Some((which, mark.text.clone()));
        }
        let lesson = now.lesson();
        if lesson
            .pencilled
            .iter()
            .any(|other| (other.id.as_str(), other.event) == (mark.topic.id(), mark.event))
            && ui.small_button("As it was").clicked()
        {
            change(None);
        }
    });
}
