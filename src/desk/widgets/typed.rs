//! A field to type in, with a list of usual answers for those who do not know what to type.

use egui::{
    Button, Id, Key, Modifiers, Response, Sense, TextEdit, Ui,
    containers::menu::MenuButton,
    text::{CCursor, CCursorRange},
    text_edit::TextEditState,
};

/// A labelled field in a row of a grid. The up and down arrows go through the usual answers, and so does
/// the list behind the button; what the text means, or why it means nothing, stands behind it.
pub fn typed_ui(
    ui: &mut Ui,
    label: &str,
    text: &mut String,
    usual: &[String],
    told: Result<String, String>,
) -> Response {
    let label_id = ui.label(label).id;
    let id = ui.scope_id().with(("typed", label));
    let field = ui
        .horizontal(|ui| {
            if ui.memory(|memory| memory.has_focus(id)) && !usual.is_empty() {
                let step = |key| ui.input_mut(|input| input.consume_key(Modifiers::NONE, key));
                let by = isize::from(step(Key::ArrowDown)) - isize::from(step(Key::ArrowUp));
                if by != 0 {
                    *text = stepped(text, usual, by);
                }
            }
            let field = ui.add(TextEdit::singleline(text).id(id).desired_width(150.0));
            if !usual.is_empty() {
                // For the pointer alone: Tab goes from field to field.
                let button = Button::new("…").sense(Sense::CLICK);
                let (list, _) = MenuButton::from_button(button).ui(ui, |ui| {
                    for answer in usual {
                        if ui.button(answer).clicked() {
                            text.clone_from(answer);
                            ui.close();
                        }
                    }
                });
                list.on_hover_text("Usual answers; in the field the up and down arrows go through them");
            }
            field
        })
        .inner
        .labelled_by(label_id);
    if field.gained_focus() {
        choose_all(ui, id, text);
    }
    match told {
        Ok(words) => ui.weak(words),
        Err(why) => ui.colored_label(ui.visuals().warn_fg_color, why),
    };
    ui.end_row();
    field
}

/// Gives a field the focus, with all of its text chosen.
pub fn begin_in(ui: &Ui, field: &Response, text: &str) {
    field.request_focus();
    choose_all(ui, field.id, text);
}

/// Chooses all of the text, so that what is typed takes its place.
fn choose_all(ui: &Ui, id: Id, text: &str) {
    let mut state = TextEditState::load(ui.ctx(), id).unwrap_or_default();
    let all = CCursorRange::two(CCursor::new(0), CCursor::new(text.chars().count()));
    state.cursor.set_char_range(Some(all));
    state.store(ui.ctx(), id);
}

/// The usual answer after (or before) a text; the first where the text is none of them.
fn stepped(text: &str, usual: &[String], by: isize) -> String {
    let here = usual.iter().position(|answer| answer.eq_ignore_ascii_case(text.trim()));
    let to = here.map_or(0, |here| here as isize + by).rem_euclid(usual.len().max(1) as isize);
    usual.get(to as usize).cloned().unwrap_or_else(|| text.to_owned())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_arrows_go_round_the_usual_answers() {
        let usual = ["3/4", "4/4"].map(str::to_owned);
        assert_eq!(stepped("3/4", &usual, 1), "4/4");
        assert_eq!(stepped("4/4", &usual, 1), "3/4");
        assert_eq!(stepped("3/4", &usual, -1), "4/4");
        assert_eq!(stepped("7/8", &usual, 1), "3/4");
    }
}
