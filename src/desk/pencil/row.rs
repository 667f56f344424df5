//! A pencil mark in the list.

use egui::{
    CursorIcon, Response, RichText, Role, Sense, Stroke, StrokeKind, TextStyle, TextWrapMode, Ui, WidgetInfo,
    WidgetText, vec2,
};

use crate::{
    bowing::{Need, PencilMark},
    desk::widgets::{
        painter::colour,
        theme::{Look, bold},
    },
    picture::Ink,
};

/// Room round the words, points.
const MARGIN: f32 = 5.0;

/// The title as it is needed: what must be told in bold, what there is time for or not in grey.
pub fn title(mark: &PencilMark) -> RichText {
    match mark.weight {
        Need::Must => bold(mark.title()),
        Need::Worth => RichText::new(mark.title()),
        Need::IfTime => RichText::new(mark.title()).weak(),
    }
}

/// Height of a mark in one line, points.
pub fn row_height(ui: &Ui) -> f32 {
    ui.text_style_height(&TextStyle::Body) + 2.0 * MARGIN
}

/// A mark in one line.
pub fn row_ui(ui: &mut Ui, mark: &PencilMark, look: Look) -> Response {
    let size = vec2(ui.available_width(), row_height(ui));
    let (rect, response) = ui.allocate_exact_size(size, Sense::click());
    let theme = look.theme();
    let width = rect.width() - 2.0 * MARGIN;
    let words = WidgetText::from(title(mark));
    let words = words.into_galley(ui, Some(TextWrapMode::Truncate), width, TextStyle::Body);
    ui.painter().galley(rect.min + vec2(MARGIN, MARGIN), words, colour(theme, Ink::Text));
    if response.hovered() {
        let edge = Stroke::new(1.0, colour(theme, Ink::Rule));
        ui.painter().rect_stroke(rect, 5.0, edge, StrokeKind::Inside);
    }
    named(response, mark, false)
}

/// What answers to clicks has the title for its name.
pub fn named(response: Response, mark: &PencilMark, is_now: bool) -> Response {
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, is_now, mark.title()));
    let words = format!("{}\n{}", mark.sentence, mark.why);
    response.on_hover_cursor(CursorIcon::PointingHand).on_hover_text(words)
}
